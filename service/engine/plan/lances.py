"""Which of the contractor's lances goes into a bay, and how far it reaches there.

A lance is taken as a rigid tube bent to an arc. It goes through the facing at
the flattest slant that the hole lets it pass, and what is inside stays between
the facing and the far side of the cavity. A shallow cavity therefore stops a
straight lance early; a curve that fits the depth lets it lie along the bay.
"""

import math
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import NamedTuple

from service.engine.ground.formula import Formula
from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.quick import row
from service.engine.ground.vocabulary import Runs, Standing
from service.engine.plan.holes import Size, holes_in, stretches
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Lance, LanceUse

LANCE_REACH = Formula(
    code="lance_reach",
    expression=(
        "min(length_mm - held_mm, room_mm x slit_mm/diameter_mm) x sqrt(1 - (diameter_mm/slit_mm)^2)/1000; "
        "curved: the same for an arc between facing and far side"
    ),
    source="plane geometry of a rigid tube through a thin facing",
    standing=Standing.DERIVED,
)

FORMULAS = (LANCE_REACH,)

NOT_IN_BAY = message("plan.lance_not_in_bay")

STRAIGHT_DEG = 1e-3  # bends the tip aside by less than a tenth of a millimetre, and an arc's radius overflows


class LanceFit(NamedTuple):
    """How one lance does in a cavity: `refusal` names the limit that fails, if any.

    `missed` parts of bays are too narrow for it; `holes` are those of one cavity. Both
    are 0 where the lance does not go in at all. `room_mm` is what the depth leaves it, `slit_mm`
    the hole's size along the bay.
    """

    lance: Lance
    reach_m: float
    missed: int
    holes: int
    refusal: Message | None
    room_mm: float = 0.0
    slit_mm: float = 0.0


_fit = row(LanceFit)


def clear_depth_mm(*, cavity: Cavity) -> float:
    """The depth in which a lance turns without meeting timber, in mm; `cavity` has its bays along the span.

    Open layers and those framed along the span; not those framed across, and of
    leaves that do not stand opposite one another only the innermost, where the
    lance goes in.
    """
    along = [n for n, layer in enumerate(cavity.layers) if layer.framing and layer.framing.runs is Runs.ALONG]
    clear = set(along if cavity.leaves_aligned else along[-1:])
    return sum(
        [layer.depth_mm for n, layer in enumerate(cavity.layers) if layer.framing is None or n in clear]
    )


def reach_m(*, lance: Lance, room_mm: float, slit_mm: float, held_mm: float) -> float:
    """How far the tip gets along the bay from the hole, either way, in metres.

    `room_mm` is the cavity's clear depth less the lance's diameter,
    `slit_mm` the hole's size along the bay, `held_mm` what stays outside.
    All must be above nothing, the diameter below the hole and `held_mm` below the
    length. A thicker facing than membrane or netting steepens the slant; that is
    not reckoned with.
    """
    slant = math.asin(lance.diameter_mm / slit_mm)
    usable_mm = lance.length_mm - held_mm
    if lance.curve_deg < STRAIGHT_DEG:
        return min(usable_mm, room_mm / math.sin(slant)) * math.cos(slant) / 1000
    radius_mm = lance.length_mm / math.radians(lance.curve_deg)
    bend = min(usable_mm / radius_mm, _bend_inside(slant=slant, room=room_mm / radius_mm))
    entry = max(slant, bend / 2)
    return 2 * radius_mm * math.sin(bend / 2) * math.cos(entry - bend / 2) / 1000


def lance_fits(
    *, entered: Iterable[LanceFit], sizes: Mapping[Size, int], least_reach_mm: float
) -> list[LanceFit]:
    """How the lances do, up to one that no other can do better than: a hole a part.

    `entered` are the lances in hole and depth, the lightest first.
    """
    fits, parts = [], _parts(sizes)
    for each in entered:
        fit = _in_parts(each, parts, least_reach_mm)
        fits.append(fit)
        if fit.refusal is None and fit.holes + fit.missed == parts.number:
            break
    return fits


def useful(*, entered: Iterable[LanceFit]) -> tuple[LanceFit, ...]:
    """Of lances in a hole and a depth those that may be the one to take somewhere, the lightest first.

    One that reaches no further than a lighter one and is no thinner never is: it takes as many
    holes at least, and misses as many parts.
    """
    kept: list[LanceFit] = []
    for each in sorted(entered, key=lambda fit: lightest(fit.lance)):
        tool_mm, reach = each.lance.diameter_mm, each.reach_m
        if not each.refusal and not any(
            other.reach_m >= reach and other.lance.diameter_mm <= tool_mm for other in kept
        ):
            kept.append(each)
    return tuple(kept)


def lance_fit(
    *, lance: Lance, sizes: Mapping[Size, int], depth_mm: float, hole: Size, use: LanceUse
) -> LanceFit:
    """How a lance does in the parts of a cavity of clear depth `depth_mm`.

    `sizes` says how many parts have each size; `hole` is longer along the bay where
    the facing is slit.
    """
    return _in_parts(_entered(lance, depth_mm, hole, use), _parts(sizes), use.least_reach_mm)


class _Parts(NamedTuple):
    """So many parts of these sizes, the least of all their sides and the greatest, in mm."""

    sizes: Mapping[Size, int]
    number: int
    least_mm: float
    most_mm: float


def _parts(sizes: Mapping[Size, int]) -> _Parts:
    least_mm, most_mm = min(map(min, sizes), default=0.0), max(map(max, sizes), default=0.0)
    return _Parts(sizes, sum(sizes.values()), least_mm, most_mm)


def entered(*, lances: tuple[Lance, ...], depth_mm: float, hole: Size, use: LanceUse) -> tuple[LanceFit, ...]:
    """How the lances do in a hole and a depth before anything is known of the parts."""
    return tuple(_entered(lance, depth_mm, hole, use) for lance in lances)


def _entered(lance: Lance, depth_mm: float, hole: Size, use: LanceUse) -> LanceFit:
    """How a lance does before anything is known of the parts: what hole and depth leave it, and its reach."""
    if refusal := _misfit(lance, depth_mm, hole, use):
        return LanceFit(lance=lance, reach_m=0.0, missed=0, holes=0, refusal=refusal)
    room_mm, slit_mm = depth_mm - lance.diameter_mm, max(hole)
    reach = reach_m(lance=lance, room_mm=room_mm, slit_mm=slit_mm, held_mm=use.held_mm)
    return LanceFit(
        lance=lance, reach_m=reach, missed=0, holes=0, refusal=None, room_mm=room_mm, slit_mm=slit_mm
    )


def refusals(
    *, entered: Iterable[LanceFit], sizes: Mapping[Size, int], least_reach_mm: float
) -> tuple[tuple[str, Message], ...]:
    """The codes of the lances that are refused, each with the limit that fails."""
    parts = _parts(sizes)
    limits = ((each.lance.code, _refused(each, parts, least_reach_mm)) for each in entered)
    return tuple([(code, limit) for code, limit in limits if limit])


def _refused(entered: LanceFit, parts: _Parts, least_reach_mm: float) -> Message | None:
    """The limit that fails in these parts, if any."""
    lance, reach, _, _, refusal, _, _ = entered
    if refusal:
        return refusal
    if lance.diameter_mm >= parts.least_mm and _missed(lance, parts) == parts.number:
        return NOT_IN_BAY
    short = reach * 1000 < least_reach_mm and stretches(length_mm=parts.most_mm, reach_m=reach) > 1
    return _short(least_reach_mm) if short else None


def _missed(lance: Lance, parts: _Parts) -> int:
    """How many parts are too narrow for a lance."""
    tool_mm = lance.diameter_mm
    return sum([number for size, number in parts.sizes.items() if tool_mm >= min(size)])


def _in_parts(entered: LanceFit, parts: _Parts, least_reach_mm: float) -> LanceFit:
    refusal = _refused(entered, parts, least_reach_mm)
    lance, reach, _, _, _, room_mm, slit_mm = entered
    if refusal is NOT_IN_BAY or entered.refusal:
        return LanceFit(lance, 0.0, 0, 0, refusal)
    holes = parts.number
    if parts.most_mm > 2000 * reach:
        holes = holes_in(sizes=parts.sizes, reach_m=reach)
    missed = _missed(lance, parts) if lance.diameter_mm >= parts.least_mm else 0
    return _fit((lance, reach, missed, holes, refusal, room_mm, slit_mm))


@lru_cache(maxsize=64)
def _short(least_mm: float) -> Message:
    return message("plan.lance_short", least=Quantity(least_mm / 1000, "m"))


def best_fit(*, fits: Iterable[LanceFit]) -> LanceFit | None:
    """The lance to take, or None.

    First the one with the fewest holes: each is a cut to make and a patch that must
    hold for good. A part too narrow for the lance is packed by hand and weighs as
    one hole more. Of those the shortest, as it is lighter and turns more easily; of
    equal length the thickest, which carries more, then the straightest; then by
    code, so that the choice is always the same.
    """
    usable = [fit for fit in fits if not fit.refusal]
    fewest = min([fit.holes + fit.missed for fit in usable], default=0)
    best = [fit for fit in usable if fit.holes + fit.missed == fewest]
    return min(best, key=lambda fit: lightest(fit.lance), default=None)


def lightest(lance: Lance) -> tuple[float, float, float, str]:
    """By what lances that take as many holes are chosen, the one to take first."""
    return lance.length_mm, -lance.diameter_mm, lance.curve_deg, lance.code


def _bend_inside(*, slant: float, room: float) -> float:
    """The most of an arc, in radians of its bend, that lies between facing and far side.

    `room` is the clear depth over the arc's radius.
    """
    if 1 - math.cos(slant) > room:  # meets the far side before it has bent round to lie along it
        return slant - math.acos(math.cos(slant) + room)
    return 2 * math.acos(max(0.0, 1 - room))


def _misfit(lance: Lance, depth_mm: float, hole: Size, use: LanceUse) -> Message | None:
    breadth_mm = min(hole)
    if lance.diameter_mm >= breadth_mm:
        return message("plan.lance_not_through_hole", hole=Quantity(breadth_mm, "mm"))
    if lance.diameter_mm >= depth_mm:
        return message("plan.lance_not_in_depth", depth=Quantity(depth_mm, "mm"))
    if lance.length_mm <= use.held_mm:
        return message("plan.lance_stays_outside", held=Quantity(use.held_mm, "mm"))
    return None
