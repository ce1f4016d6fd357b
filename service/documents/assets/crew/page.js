// Small tools of every view: elements, numbers, identities and moments.

/** An element with attributes and children; `on...` attributes are listeners, null children are left out. */
export function h(tag, attributes = {}, ...children) {
  const svg = ["svg", "g", "path", "rect", "circle", "text", "title", "polygon", "line"].includes(tag);
  const element = svg && attributes.svg !== false
    ? document.createElementNS("http://www.w3.org/2000/svg", tag)
    : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false || name === "svg") continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/** A UUIDv7 (RFC 9562): ids that are made here, and order themselves by their time. */
export function uuid7(now = Date.now()) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let i = 0; i < 6; i++) bytes[i] = Math.floor(now / 2 ** (8 * (5 - i))) & 255;
  bytes[6] = 0x70 | (bytes[6] & 15);
  bytes[8] = 0x80 | (bytes[8] & 63);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

/** A moment in RFC 3339 with the phone's offset from UTC. */
export function stamp(milliseconds) {
  const moment = new Date(milliseconds);
  const minutes = -moment.getTimezoneOffset();
  const local = new Date(milliseconds + minutes * 60000).toISOString().slice(0, 19);
  const two = (number) => String(number).padStart(2, "0");
  const size = Math.abs(minutes);
  return `${local}${minutes < 0 ? "-" : "+"}${two(Math.floor(size / 60))}:${two(size % 60)}`;
}

/** The day that a moment is on, by the phone's calendar. */
export function dayOf(milliseconds) {
  return stamp(milliseconds).slice(0, 10);
}

/** A number as it was typed, with a comma or a point; null where it is none. */
export function read(text) {
  const clean = text.trim().replace(",", ".");
  return /^-?\d+(\.\d*)?$|^-?\.\d+$/.test(clean) ? Number(clean) : null;
}

/** A number with so many decimals, as the phone's language writes it. */
export function shown(value, places = 0, language = document.documentElement.lang) {
  return new Intl.NumberFormat(language === "de" ? "de" : "en-GB", {
    minimumFractionDigits: 0,
    maximumFractionDigits: places,
  }).format(value);
}
