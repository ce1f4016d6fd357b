"""A building's parts by what they are made of: each build-up once, with a letter to be found by."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from json import dumps
from string import ascii_uppercase
from typing import Any

Part = dict[str, Any]
Span = tuple[float, float]
"""The least and the greatest of what the parts of a build-up have, which may be the same."""

FRAMING = ("member_mm", "spacing_mm", "runs", "conductivity_w_mk")


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A row of a build-up's table: `thickness_mm` and `resistance` in m2K/W where they are known.

    Of the fill both are as they were found, where it was found otherwise than planned.
    """

    kind: str
    name: str
    thickness_mm: Span | None
    resistance: Span | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildUp:
    """Parts that are made alike; `place` is the build-up's among its paper's, from 1.

    `cavity` is as it was found where all parts were found alike, else as surveyed; `otherwise` names those
    that were found otherwise than it. `window`, lowest and highest density in kg/m3, is None where the
    parts have several or, as an open blow, none; the other spans are in mm, W/m2K and m2K/W. `staggered`
    and `divided` name parts of it.
    """

    place: int
    letter: str
    cavity: dict[str, Any]
    otherwise: tuple[str, ...]
    parts: tuple[Part, ...]
    depth_mm: Span
    window: Span | None
    courses: tuple[Course, ...]
    u_value: Span | None
    whole: Span | None
    fill: Span
    staggered: tuple[str, ...]
    divided: tuple[str, ...]


def build_ups(parts: Sequence[Part]) -> list[BuildUp]:
    """The parts by build-up, in the order in which these come first."""
    alike: dict[str, list[Part]] = {}
    for part in parts:
        alike.setdefault(_made_of(part), []).append(part)
    return [_build_up(place, tuple(same)) for place, same in enumerate(alike.values(), start=1)]


def _made_of(part: Part) -> str:
    """What two parts must have in common to be one build-up: layers, timber and which way heat leaves."""
    cavity, thermal = part["cavity"], part["thermal"]
    layers = [
        [layer["depth_mm"], layer["framing"] and [layer["framing"][name] for name in FRAMING]]
        for layer in cavity["layers"]
    ]
    names = ("element", "fill", "facing", "outside", "inside")
    surfaces = [thermal["rse"], thermal["rsi"]]
    return dumps([layers, surfaces, *(cavity[name] for name in names)], sort_keys=True)


def _build_up(place: int, parts: tuple[Part, ...]) -> BuildUp:
    windows = {part["window"] and (part["window"][0], part["window"][2]) for part in parts}
    thermals = [part["thermal"] for part in parts]
    layers = [_as_it_is(part)["layers"] for part in parts]
    one = _as_it_is(parts[0]) if all(each == layers[0] for each in layers) else parts[0]["cavity"]
    return BuildUp(
        place=place,
        letter=_letter(place),
        cavity=one,
        otherwise=tuple(part["cavity"]["label"] for part in parts if _differs(part, one)),
        parts=parts,
        depth_mm=_span([part["depth_mm"] for part in parts]) or (0.0, 0.0),
        window=next(iter(windows)) if len(windows) == 1 else None,
        courses=tuple(_courses(parts, thermals)),
        u_value=_span([each["u_value_w_m2k"] for each in thermals]),
        whole=_span([each["r_total"] for each in thermals]),
        fill=_span([each["r_fill"] for each in thermals]) or (0.0, 0.0),
        staggered=tuple(_labels(parts, _is_staggered)),
        divided=tuple(_labels(parts, lambda cavity: cavity["dividers"])),
    )


def _as_it_is(part: Part) -> dict[str, Any]:
    """The cavity as it was found, else as it was surveyed."""
    found: dict[str, Any] = part.get("as_it_is") or part["cavity"]
    return found


def _differs(part: Part, drawn: dict[str, Any]) -> bool:
    """Whether a part was found otherwise than its build-up is drawn."""
    return bool(part.get("as_it_is")) and _as_it_is(part)["layers"] != drawn["layers"]


def _labels(parts: Sequence[Part], holds: Callable[[dict[str, Any]], bool]) -> Iterator[str]:
    return (part["cavity"]["label"] for part in parts if holds(part["cavity"]))


def _is_staggered(cavity: dict[str, Any]) -> bool:
    framed = [layer for layer in cavity["layers"] if layer["framing"]]
    return len(framed) > 1 and not cavity["leaves_aligned"]


def _letter(place: int) -> str:
    """A, B, and so on to Z, then AA, AB: as the columns of a table are told."""
    left, right = divmod(place - 1, len(ascii_uppercase))
    return (ascii_uppercase[left - 1] if left else "") + ascii_uppercase[right]


def _courses(parts: Sequence[Part], thermals: Sequence[dict[str, Any]]) -> Iterator[Course]:
    """From the outside in; a layer outside a well-ventilated one is named, and has no resistance."""
    cavity, spans = parts[0]["cavity"], _resistances(thermals)
    beside = len(cavity["outside"]) + len(cavity["inside"])
    left_out = max(0, beside - max(0, len(spans) - 3))
    for index, layer in enumerate(cavity["outside"]):
        span = spans[index - left_out + 1] if spans and index >= left_out else None
        yield _layer(layer, span)
    depth_mm = _span([part["depth_mm"] for part in parts])
    first = len(cavity["outside"]) - left_out + 1
    yield Course(kind="fill", name="", thickness_mm=depth_mm, resistance=spans[first] if spans else None)
    for index, layer in enumerate(cavity["inside"], start=first + 1):
        yield _layer(layer, spans[index] if spans else None)


def _resistances(thermals: Sequence[dict[str, Any]]) -> list[Span]:
    """The span of each course's resistance; none where the method gives a part no courses."""
    courses = [each["courses"] for each in thermals if each["courses"]]
    if len(courses) < len(thermals):
        return []
    return [
        (min(values), max(values))
        for values in ([each["resistance_m2k_w"] for each in same] for same in zip(*courses, strict=True))
    ]


def _layer(layer: dict[str, Any], resistance: Span | None) -> Course:
    thickness_mm = _span([layer["thickness_mm"]])
    return Course(kind="layer", name=layer["name"], thickness_mm=thickness_mm, resistance=resistance)


def _span(values: Sequence[float | None]) -> Span | None:
    known = [value for value in values if value is not None]
    return (min(known), max(known)) if len(known) == len(values) else None
