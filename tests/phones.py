"""A crew's phone in the tests: the page in Chromium, touched as by a thumb, and every touch counted.

A value is a number or a text that is entered or chosen from a list; a tap is any touch except
that of a keypad's key.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any
from urllib.parse import quote

from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from tests.api import Api, building

SHARED = ("GF-N", "GF-E", "GF-S", "GF-W", "UF-N", "UF-E", "UF-S", "UF-W")
SIZE = {"width": 360, "height": 740}
UNDONE_UNTIL_MS = 6500
"""The page sends an act once it cannot be undone any more."""
PRESS = """(pad, keys) => {
    for (const key of keys) [...pad.querySelectorAll('button')].find(each => each.innerText === key).click();
}"""
POLL_MS, STILL = 50, 60
"""How often a phone is asked whether all is sent, and how often in vain before that is a fault."""


def today() -> str:
    """The day, as the service has it."""
    return datetime.now(UTC).date().isoformat()


def ledger(api: Api, job: Any) -> list[Any]:
    """What is on record of a job."""
    entries: list[Any] = api.send("GET", f"/v1/jobs/{job['id']}/entries").json["entries"]
    return entries


def twelve_parts() -> dict[str, Any]:
    """A fixed house: 8 shared walls, 2 roof slopes and 2 gables of closed bays."""
    demo = {cavity["label"]: cavity for cavity in building()["cavities"]}
    walls = [{**demo[label], "dividers": False} for label in SHARED]
    gables = [{**demo["WG-W"], "label": label} for label in ("WG-W", "WG-E")]
    return {**building(), "cavities": [*walls, demo["RS-N"], demo["RS-S"], *gables]}


def crew_of(api: Api, job: Any, name: str, day: str) -> Any:
    """A new crew with its link, which is assigned this job on a day."""
    crew = api.send("POST", "/v1/crews", {"name": name}, Idempotency_Key=name).json
    assign(api, job, crew, day)
    return crew


def assign(api: Api, job: Any, crew: Any, day: str) -> None:
    """Give a crew a job on a day."""
    days = {"days": [{"day": day, "crew": crew["id"]}]}
    assert api.send("PUT", f"/v1/jobs/{job['id']}/assignment", days).status_code == 200


def token_of(crew: Any) -> str:
    """What a link has in its fragment."""
    return str(crew["url"].partition("#")[2])


@dataclass(slots=True, kw_only=True)
class Phone:
    """A phone with the crew's page open at a job, and what it cost to say what was said."""

    context: BrowserContext
    base: str
    job: Any
    page: Page = field(init=False)
    values: int = 0
    taps: int = 0
    complaints: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.set_clock()
        self.again()

    def set_clock(self) -> None:
        """A clock that goes as any, and can be put forward."""
        self.context.clock.install()

    def again(self) -> None:
        """Another page, as after the one before was killed."""
        self.page = self.context.new_page()
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def open(self, crew: Any) -> None:
        """Open the link, as it came in a message."""
        self.page.goto(f"{self.base}/crew/#{token_of(crew)}")

    def start(self, crew: Any, name: str = "Alex") -> None:
        """Open the link, say who records, and open the job."""
        self.open(crew)
        self.write("#who", name)
        self.tap("button.main")
        self.follow(self.at())

    def at(self, more: str = "") -> str:
        """The path of one of the job's views."""
        return f"job/{self.job['id']}{more}"

    def of(self, label: str, more: str = "") -> str:
        """The path of one of a part's views."""
        return self.at(f"/part/{quote(label)}{more}")

    def show(self, path: str) -> None:
        """Go to a view by its address, which is no tap."""
        self.page.evaluate("path => { location.hash = '#/' + path; }", path)

    def tap(self, what: Locator | str) -> None:
        """Touch something."""
        (self.page.locator(what) if isinstance(what, str) else what).click()
        self.taps += 1

    def follow(self, path: str) -> None:
        """Touch the link to a view."""
        self.tap(self.page.locator(f'#view a[href="#/{path}"]').first)

    def number(self, name: str, value: float) -> None:
        """Type a number on the page's own keypad, which is opened first where it is not."""
        place = self.page.locator(f'.number:has(input[id="{name}"])')
        place.wait_for()
        if not place.locator(".keys").is_visible():
            self.tap(place.locator("input"))
        first, *others = f"{value:g}".replace(".", ",")
        pad = place.locator(".keys")
        # As by a thumb, which costs the browser twenty milliseconds; no key is in another's way.
        pad.get_by_role("button", name=first, exact=True).click()
        pad.evaluate(PRESS, others)
        self.values += 1

    def write(self, field: str, text: str) -> None:
        """Type a text with the phone's keyboard."""
        self.tap(field)
        self.page.keyboard.type(text)
        self.values += 1

    def choose(self, group: str, name: str) -> None:
        """Touch one of several answers."""
        self.tap(self.page.locator(f"#{group}").get_by_role("button", name=name, exact=True))

    def save(self, value: str = "") -> None:
        """Touch the form's button; where it has several, the one with this value."""
        which = f'[value="{value}"]' if value else ":not([type=button])"
        self.tap(self.page.locator(f"#view form > button{which}").first)

    def costs(self) -> tuple[int, int]:
        """The values and taps since they were asked for last."""
        spent = (self.values, self.taps)
        self.values = self.taps = 0
        return spent

    def pass_time(self) -> None:
        """Let the time pass in which an act can be undone."""
        self.context.clock.fast_forward(UNDONE_UNTIL_MS)

    def sent(self) -> None:
        """Wait until everything is with the service: as long as it takes, while there is ever less of it."""
        waits, before, still = self.page.locator("header .waits"), "", 0
        while still < STILL:
            self.pass_time()
            self.page.wait_for_timeout(POLL_MS)
            if self.page.locator("header .waits:not(.some)").count():
                return
            now = waits.inner_text()
            before, still = now, still + 1 if now == before else 0
        expect(self.page.locator("header .waits:not(.some)")).to_be_visible()


@contextmanager
def phone(
    browser: Browser, port: int, job: Any, language: str = "en", kind: type[Phone] = Phone
) -> Iterator[Phone]:
    """A phone of this kind; whatever its page complains of fails the test."""
    context = browser.new_context(viewport=SIZE, locale=language, has_touch=True, is_mobile=True)
    context.set_default_timeout(15_000)
    made = kind(context=context, base=f"http://127.0.0.1:{port}", job=job)
    try:
        yield made
    finally:
        context.close()
    assert made.complaints == []
