"""What a single field of a cavity can be, and fields that only make sense together.

The ranges are wider than any building. They are there so that a slip of the unit
is found and so that no figure can overflow.
"""

from collections.abc import Iterator

from service.engine.survey.cavity import Framing, Opening
from service.errors import Fault

IN_PLANE_M = (0.001, 1000.0)
PLACE_M = (0.0, 1000.0)
TIMBER_MM = (0.1, 10_000.0)
NONE_OR_MM = (0.0, 10_000.0)
CONDUCTIVITY_W_MK = (0.001, 1000.0)
DISPLACED_M3 = (0.0, 1_000_000.0)
MOST_COUNT = 10_000


def within(*, at: str, unit: str, limits: tuple[float, float], **fields: float | None) -> Iterator[Fault]:
    """A fault for each field of the object at pointer `at` that does not lie within the limits.

    None is no value; what is not a number lies within no limits.
    """
    least, most = limits
    for name, value in fields.items():
        if value is not None and not least <= value <= most:
            yield Fault(
                f"{at}/{name}", f"The value must be from {least:g} to {most:g} {unit}, not {value:g}."
            )


def counted(*, at: str, least: int = 1, **fields: int) -> Iterator[Fault]:
    """A fault for each field that is not from `least` to the most that is counted of anything."""
    for name, value in fields.items():
        if not least <= value <= MOST_COUNT:
            yield Fault(f"{at}/{name}", f"The number must be from {least} to {MOST_COUNT}.")


def framing_faults(*, at: str, framing: Framing) -> Iterator[Fault]:
    """Faults of a layer's framing by itself; `at` is its pointer."""
    yield from within(
        at=at, unit="W/(m K)", limits=CONDUCTIVITY_W_MK, conductivity_w_mk=framing.conductivity_w_mk
    )
    yield from within(
        at=at,
        unit="mm",
        limits=NONE_OR_MM,
        plates_mm=framing.plates_mm,
        blocking_mm=framing.blocking_mm,
    )
    yield from counted(at=at, least=0, blocking_rows=framing.blocking_rows)
    yield from _blocking(at, framing)
    if framing.timber_fraction is None:
        yield from _members(at, framing)
    else:
        yield from _fraction(at, framing, framing.timber_fraction)


def _blocking(at: str, framing: Framing) -> Iterator[Fault]:
    if framing.blocking_rows and not framing.blocking_mm:
        yield Fault(f"{at}/blocking_mm", "Rows of blocking need a thickness.")
    if framing.blocking_mm and not framing.blocking_rows:
        yield Fault(f"{at}/blocking_rows", "Blocking needs at least one row.")


def _members(at: str, framing: Framing) -> Iterator[Fault]:
    member, spacing = framing.member_mm, framing.spacing_mm
    if framing.timber_fraction_u is not None:
        yield Fault(f"{at}/timber_fraction_u", "There is no timber fraction that this could be of.")
    if member is None and spacing is None:
        yield Fault(at, "Framing needs member_mm and spacing_mm, or a timber_fraction.")
    elif member is None:
        yield Fault(f"{at}/member_mm", "Members with a spacing need a breadth.")
    elif spacing is None:
        yield Fault(f"{at}/spacing_mm", "Members need a spacing.")
    else:
        unsound = tuple(within(at=at, unit="mm", limits=TIMBER_MM, member_mm=member, spacing_mm=spacing))
        yield from unsound
        if not unsound and member >= spacing:
            yield Fault(
                f"{at}/member_mm", f"Members of {member:g} mm need a wider spacing than {spacing:g} mm."
            )


def _fraction(at: str, framing: Framing, share: float) -> Iterator[Fault]:
    if not 0 <= share < 1:
        yield Fault(f"{at}/timber_fraction", "The timber fraction must be from 0 to less than 1.")
    yield from within(at=at, unit="", limits=(0.0, 1.0), timber_fraction_u=framing.timber_fraction_u)
    given = {
        "member_mm": framing.member_mm is not None,
        "spacing_mm": framing.spacing_mm is not None,
        "plates_mm": framing.plates_mm != 0,
        "blocking_rows": framing.blocking_rows != 0,
    }
    for name in (name for name, is_given in given.items() if is_given):
        yield Fault(f"{at}/{name}", "The timber fraction holds this timber already: give one of the two.")


def opening_faults(*, at: str, opening: Opening) -> Iterator[Fault]:
    """Faults of an opening by itself; `at` is its pointer."""
    yield from within(at=at, unit="m", limits=IN_PLANE_M, width_m=opening.width_m, height_m=opening.height_m)
    yield from within(at=at, unit="m", limits=PLACE_M, left_m=opening.left_m, sill_m=opening.sill_m)
    yield from within(at=at, unit="mm", limits=NONE_OR_MM, trim_mm=opening.trim_mm)
    yield from counted(at=at, count=opening.count)
    if (opening.left_m is None) != (opening.sill_m is None):
        missing = "left_m" if opening.left_m is None else "sill_m"
        yield Fault(f"{at}/{missing}", "A place needs both left_m and sill_m.")
    if opening.left_m is not None and opening.sill_m is not None and opening.count > 1:
        yield Fault(f"{at}/count", "Only one opening can be in one place: list them one by one.")
