"""What a cavity cannot be: fields that cannot be as they are, and fields that contradict one another."""

from collections.abc import Iterator
from itertools import combinations

from service.engine.geometry.areas import across_and_along_m, openings_m2
from service.engine.geometry.bays import member_count, members
from service.engine.geometry.layout import outline
from service.engine.geometry.rectangles import DUST_M
from service.engine.ground.vocabulary import Element, Fill, Runs
from service.engine.survey.cavity import Cavity, Layer
from service.engine.survey.fields import (
    DISPLACED_M3,
    IN_PLANE_M,
    TIMBER_MM,
    counted,
    framing_faults,
    opening_faults,
    within,
)
from service.errors import Fault, InvalidInput

MOST_LAYERS = 6
MOST_OPENINGS = 50
MOST_PARTS = 300
MOST_CROSSINGS = 10_000


def refuse(*, cavity: Cavity) -> None:
    """Raise InvalidInput with every fault found, if any; pointers are relative to the cavity.

    Whether fields contradict one another is looked at once each of them can be.
    """
    for find in (_sizes, _wholes):
        faults = tuple(find(cavity))
        if faults:
            raise InvalidInput(*faults)


def _sizes(cavity: Cavity) -> Iterator[Fault]:
    yield from within(at="", unit="m", limits=IN_PLANE_M, width_m=cavity.width_m, span_m=cavity.span_m)
    yield from within(at="", unit="m3", limits=DISPLACED_M3, displaced_m3=cavity.displaced_m3)
    yield from counted(at="", count=cavity.count)
    yield from _slope(cavity)
    if cavity.lies is Fill.OPEN and cavity.element is Element.WALL:
        yield Fault("/fill", "A wall cannot be filled by open blow; only a floor that lies flat can.")
    if not 1 <= len(cavity.layers) <= MOST_LAYERS:
        yield Fault("/layers", f"A cavity has 1 to {MOST_LAYERS} layers.")
    for index, layer in enumerate(cavity.layers):
        yield from within(at=f"/layers/{index}", unit="mm", limits=TIMBER_MM, depth_mm=layer.depth_mm)
        if layer.framing is not None:
            yield from framing_faults(at=f"/layers/{index}/framing", framing=layer.framing)
    if len(cavity.openings) > MOST_OPENINGS:
        yield Fault("/openings", f"More than {MOST_OPENINGS} openings: describe the cavity as several.")
    for index, opening in enumerate(cavity.openings):
        yield from opening_faults(at=f"/openings/{index}", opening=opening)


def _slope(cavity: Cavity) -> Iterator[Fault]:
    if cavity.pitch_deg is None:
        return
    if cavity.element is not Element.ROOF_SLOPE:
        yield Fault("/pitch_deg", "Only a roof slope has a pitch.")
    elif not 0 <= cavity.pitch_deg < 90:
        yield Fault("/pitch_deg", "The pitch must be from 0 to less than 90 degrees.")


def _wholes(cavity: Cavity) -> Iterator[Fault]:
    for index, layer in enumerate(cavity.layers):
        yield from _layout(f"/layers/{index}/framing", cavity, layer)
    yield from _crossing(cavity)
    yield from _fitting(cavity)
    yield from _overlapping(cavity)
    if cavity.dividers and not any(layer.framing and layer.framing.member_mm for layer in cavity.layers):
        yield Fault("/dividers", "Dividers need members that they are fixed to.")


def _layout(at: str, cavity: Cavity, layer: Layer) -> Iterator[Fault]:
    framing = layer.framing
    if framing is None or framing.member_mm is None:
        return
    across_m, along_m = across_and_along_m(cavity=cavity, framing=framing)
    rows, rows_m = framing.blocking_rows, framing.blocking_rows * framing.blocking_mm / 1000
    count = member_count(framing=framing, across_m=across_m)
    if across_m - max(count, 1) * framing.member_mm / 1000 <= max(count, 1) * DUST_M:
        yield Fault(f"{at}/member_mm", f"The members leave no bay open over {across_m:g} m.")
    elif (count - 1) * (rows + 1) > MOST_PARTS:
        yield Fault(f"{at}/spacing_mm", f"More than {MOST_PARTS} bays and parts: split the cavity.")
    if framing.plates_mm / 1000 >= along_m:
        yield Fault(f"{at}/plates_mm", f"The plates are thicker than the {along_m:g} m they stand in.")
    elif along_m - framing.plates_mm / 1000 - rows_m <= (rows + 1) * DUST_M:
        yield Fault(f"{at}/blocking_mm", "Plates and blocking leave nothing of the bays open.")


def _crossing(cavity: Cavity) -> Iterator[Fault]:
    """Spaces behind crossing members are looked at pair by pair: no building has so many."""
    most = dict.fromkeys(Runs, 0)
    for framing in (members(layer=layer) for layer in cavity.layers):
        if framing:
            across_m, _ = across_and_along_m(cavity=cavity, framing=framing)
            parts = (member_count(framing=framing, across_m=across_m) - 1) * (framing.blocking_rows + 1)
            most[framing.runs] = max(most[framing.runs], parts)
    if most[Runs.ALONG] * most[Runs.ACROSS] > MOST_CROSSINGS:
        yield Fault("/layers", f"Members cross in more than {MOST_CROSSINGS} places: split the cavity.")


def _fitting(cavity: Cavity) -> Iterator[Fault]:
    for index, opening in enumerate(cavity.openings):
        for name, size, start, room in (
            ("width_m", opening.width_m, opening.left_m, cavity.width_m),
            ("height_m", opening.height_m, opening.sill_m, cavity.span_m),
        ):
            if size > room + DUST_M:
                yield Fault(f"/openings/{index}/{name}", f"The opening exceeds the cavity's {room:g} m.")
            elif start is not None and start + size > room + DUST_M:
                place = "left_m" if name == "width_m" else "sill_m"
                yield Fault(f"/openings/{index}/{place}", "The opening sticks out of the cavity.")
    whole_m2 = cavity.width_m * cavity.span_m
    taken_m2 = openings_m2(cavity=cavity)
    if taken_m2 >= whole_m2 * (1 - 1e-9):
        yield Fault(
            "/openings", f"Openings of {taken_m2:g} m2 leave nothing of the cavity's {whole_m2:g} m2."
        )


def _overlapping(cavity: Cavity) -> Iterator[Fault]:
    placed = [row for row in enumerate(cavity.openings) if row[1].left_m is not None]
    for (first, one), (second, other) in combinations(placed, 2):
        if outline(opening=one).overlaps(outline(opening=other)):
            yield Fault(f"/openings/{second}", f"The opening overlaps opening {first + 1} of this cavity.")
