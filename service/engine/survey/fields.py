"""What a single field of a cavity can be, and fields that only make sense together."""

from collections.abc import Iterator
from functools import lru_cache

from service.engine.ground.messages import Message, message
from service.engine.survey.cavity import Displaced, Framing, Opening
from service.engine.survey.limits import (
    CONDUCTIVITY_W_MK,
    DISPLACED_M3,
    IN_PLANE_M,
    LEAST_MEMBERS,
    MOST_COUNT,
    MOST_MEMBERS,
    MOST_ROWS,
    NONE_OR_MM,
    PLACE_M,
    SHARE,
    TIMBER_MM,
)
from service.errors import Fault


def within(*, at: str, unit: str, limits: tuple[float, float], **fields: float | None) -> list[Fault]:
    """A fault for each field of the object at pointer `at` that does not lie within the limits.

    None is no value; what is not a number lies within no limits.
    """
    least, most = limits
    return [
        Fault(f"{at}/{name}", _out_of_range(value, least, most, unit))
        for name, value in fields.items()
        if value is not None and not least <= value <= most
    ]


def _out_of_range(value: float, least: float, most: float, unit: str) -> Message:
    return message("survey.out_of_range", least=least, most=most, unit=unit, value=f"{value:g}")


def counted(*, at: str, least: int = 1, most: int = MOST_COUNT, **fields: int | None) -> list[Fault]:
    """A fault for each field that is not from `least` to the most that is counted of it; None is no value."""
    return [
        Fault(f"{at}/{name}", message("survey.count_out_of_range", least=least, most=most))
        for name, value in fields.items()
        if value is not None and not least <= value <= most
    ]


def framing_faults(*, at: str, framing: Framing) -> tuple[Fault, ...]:
    """Faults of a layer's framing by itself; `at` is its pointer."""
    return tuple(Fault(at + fault.pointer, fault.detail) for fault in _framing_faults(framing))


@lru_cache(maxsize=64)  # most layers of a building are framed alike
def _framing_faults(framing: Framing) -> tuple[Fault, ...]:
    return tuple(_of_framing("", framing))


def _of_framing(at: str, framing: Framing) -> Iterator[Fault]:
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
    yield from counted(at=at, least=0, most=MOST_ROWS, blocking_rows=framing.blocking_rows)
    yield from _blocking(at, framing)
    if framing.timber_fraction is None:
        yield from _members(at, framing)
    else:
        yield from _fraction(at, framing, framing.timber_fraction)


def _blocking(at: str, framing: Framing) -> Iterator[Fault]:
    if framing.blocking_rows and not framing.blocking_mm:
        yield Fault(f"{at}/blocking_mm", message("survey.blocking_without_thickness"))
    if framing.blocking_mm and not framing.blocking_rows:
        yield Fault(f"{at}/blocking_rows", message("survey.blocking_without_rows"))


def _members(at: str, framing: Framing) -> Iterator[Fault]:
    member, spacing = framing.member_mm, framing.spacing_mm
    placed = spacing is not None or framing.is_counted
    if framing.timber_fraction_u is not None:
        yield Fault(f"{at}/timber_fraction_u", message("survey.no_timber_fraction"))
    if member is None and not placed:
        yield Fault(at, message("survey.framing_without_timber"))
    elif member is None:
        yield Fault(f"{at}/member_mm", message("survey.members_without_breadth"))
    elif not placed:
        yield Fault(f"{at}/spacing_mm", message("survey.members_without_spacing"))
    else:
        unsound = tuple(within(at=at, unit="mm", limits=TIMBER_MM, member_mm=member, spacing_mm=spacing))
        yield from unsound or _crowded(at, member, spacing)
        yield from _counted_members(at, framing)


def _crowded(at: str, member: float, spacing: float | None) -> Iterator[Fault]:
    if spacing is not None and member >= spacing:
        said = message("survey.member_wider_than_spacing", member=f"{member:g}", spacing=f"{spacing:g}")
        yield Fault(f"{at}/member_mm", said)


def _counted_members(at: str, framing: Framing) -> Iterator[Fault]:
    places = framing.members_at_m
    yield from counted(at=at, least=LEAST_MEMBERS, most=MOST_MEMBERS, members=framing.members)
    if places is None:
        return
    if framing.members is not None:
        yield Fault(f"{at}/members", message("survey.members_said_twice"))
    if not 1 <= len(places) <= MOST_MEMBERS:
        yield Fault(f"{at}/members_at_m", message("survey.count_out_of_range", least=1, most=MOST_MEMBERS))
    for index, place in enumerate(places):
        yield from within(at=f"{at}/members_at_m", unit="m", limits=PLACE_M, **{str(index): place})
        if index and place <= places[index - 1]:
            yield Fault(f"{at}/members_at_m/{index}", message("survey.members_not_in_order"))


def _fraction(at: str, framing: Framing, share: float) -> Iterator[Fault]:
    if not 0 <= share < 1:
        yield Fault(f"{at}/timber_fraction", message("survey.timber_fraction_out_of_range"))
    yield from within(at=at, unit="", limits=SHARE, timber_fraction_u=framing.timber_fraction_u)
    given = {
        "member_mm": framing.member_mm is not None,
        "spacing_mm": framing.spacing_mm is not None,
        "members": framing.members is not None,
        "members_at_m": framing.members_at_m is not None,
        "plates_mm": framing.plates_mm != 0,
        "blocking_rows": framing.blocking_rows != 0,
    }
    for name in (name for name, is_given in given.items() if is_given):
        yield Fault(f"{at}/{name}", message("survey.timber_said_twice"))


def opening_faults(*, at: str, opening: Opening) -> Iterator[Fault]:
    """Faults of an opening by itself; `at` is its pointer."""
    yield from within(at=at, unit="m", limits=IN_PLANE_M, width_m=opening.width_m, height_m=opening.height_m)
    yield from within(at=at, unit="m", limits=PLACE_M, left_m=opening.left_m, sill_m=opening.sill_m)
    yield from within(
        at=at, unit="mm", limits=NONE_OR_MM, trim_mm=opening.trim_mm, reveal_mm=opening.reveal_mm
    )
    yield from counted(at=at, count=opening.count)
    if opening.left_m is not None and opening.sill_m is None:
        yield Fault(f"{at}/sill_m", message("survey.place_without_sill"))
    if opening.is_placed and opening.count > 1:
        yield Fault(f"{at}/count", message("survey.several_in_one_place"))


def displaced_faults(*, at: str, displaced: Displaced) -> Iterator[Fault]:
    """Faults of a displaced volume by itself; `at` is its pointer."""
    yield from within(
        at=at, unit="m3", limits=DISPLACED_M3, volume_m3=displaced.volume_m3, u_m3=displaced.u_m3
    )
    yield from counted(at=at, bay=displaced.bay)
