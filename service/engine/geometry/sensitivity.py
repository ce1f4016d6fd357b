"""What the errors of a survey do to the net volume of a space.

The space is named by its bays: one bay, those of a shared compartment, several bays that
were noted together, or all of a cavity. Each share is in m3, of one of the identical
cavities, with its sign; `of` names the input that errs, so that shares of one input
in several spaces of the same cavity add up before anything is squared.

| name | of | |
| --- | --- | --- |
| depth | `depth 0` | each layer's depth |
| width | `width 3`, `width 1-5` | the clear width of a single bay, or the width of all its bays |
| length | `length` | the span |
| member breadth | `member breadth 0` | of members that stand inside the space |
| plates | `plates 0` | what the plates take of the length |
| openings | `openings 0 width`, `openings 0 height` | each row of openings |
| members | `members 0` | drawn: one member more or less in spaces of several bays |
| timber fraction | `timber fraction 0` | an assumed fraction |
| unplaced openings | `unplaced openings 0` | a member cut more or less; `0 0` for layers that err apart |
| displaced | `displaced 0`, `displaced 0 in 3` | the volume, and which compartment it lies in |
"""

from collections.abc import Collection, Iterator
from math import sqrt

from service.engine.geometry.compartments import taken_from
from service.engine.geometry.opening_errors import opening_shares
from service.engine.geometry.plane import Plane
from service.engine.geometry.reckoned import Reckoned, reckoned
from service.engine.ground.uncertainty import Share, merged, rectangular
from service.engine.ground.vocabulary import Runs, Surveyed
from service.engine.survey.cavity import Displaced
from service.engine.survey.uncertainties import SizeErrors, SurveyErrors


def volume_shares(
    *, laid_out: Plane, bays: Collection[int], errors: SurveyErrors, sizes: SizeErrors | None = None
) -> tuple[Share, ...]:
    """What each input that errs contributes to a space's net volume, in m3 (standard uncertainties).

    `bays` number the space's bays from 1; the space has every compartment that lies in
    them, and all of the cavity where an opening has no place. `sizes` are the half-widths to
    take where some were counted on site later than the survey; None takes those of the
    cavity's `surveyed`.
    """
    space = reckoned(laid_out=laid_out, bays=bays)
    cavity = laid_out.cavity
    taken = sizes or errors.of(surveyed=cavity.surveyed)
    shares = [*_sizes(space, taken), *_timber(space, taken, errors)]
    if not space.single and cavity.surveyed is not Surveyed.COUNTED:
        shares += _one_member(space)
    if cavity.openings:
        shares += opening_shares(space=space, half_mm=taken.opening_mm)
    if cavity.displaced:
        shares += _displaced(space, errors)
    return tuple([share for share in merged(shares) if share[2]])


def _sizes(space: Reckoned, sizes: SizeErrors) -> Iterator[Share]:
    """A single bay is measured from member to member, several as far as the members at their ends."""
    depth_u_m = rectangular(half=sizes.depth_mm / 1000)
    across_m2 = along_m2 = 0.0
    for place, (each, part) in enumerate(zip(space.lengths, space.parts, strict=True)):
        yield Share("depth", f"depth {place}", each.area.net_m2 * part * depth_u_m)
        across_m2 += each.kept_m * each.across_m
        along_m2 += each.kept_m * each.along_m * part
    across_mm, along_mm = sizes.width_mm, sizes.span_mm
    if space.single:
        across_m2 = space.volume_m3 / space.clear_width_m
    elif space.turned:
        across_mm, along_mm = along_mm, across_mm
    yield _share("width", f"width {space.name}", across_m2, across_mm)
    yield _share("length", "length", along_m2, along_mm)


def _timber(space: Reckoned, sizes: SizeErrors, errors: SurveyErrors) -> Iterator[Share]:
    """Members inside the space, plates, or an assumed fraction; the broader, the less is left."""
    for place, (each, part) in enumerate(zip(space.lengths, space.parts, strict=True)):
        framing = each.framing
        if framing is None:
            continue
        if framing.timber_fraction is not None:
            u = errors.timber_fraction_u if framing.timber_fraction_u is None else framing.timber_fraction_u
            u_m3 = -u * each.depth_m * space.laid_out.insulated_m2 * part
            yield Share("timber fraction", f"timber fraction {place}", u_m3)
            continue
        if framing.runs is Runs.ACROSS or not space.single:
            members_m2 = each.kept_m * each.members * each.member_length_m * part
            yield _share("member breadth", f"member breadth {place}", -members_m2, sizes.member_mm)
        if framing.plates_mm:
            plates_m2 = each.kept_m * each.between_members_m * part
            yield _share("plates", f"plates {place}", -plates_m2, sizes.member_mm)


def _one_member(space: Reckoned) -> Iterator[Share]:
    """As drawn: one member more or less in each framed layer of several bays; opposite ones err together."""
    aligned = space.upright.leaves_aligned
    for place, each in enumerate(space.lengths):
        framing = each.framing
        if framing is None or framing.member_mm is None or framing.is_counted:
            continue
        of = f"members {framing.runs}" if aligned else f"members {place}"
        yield _share("members", of, -each.kept_m * each.member_length_m, framing.member_mm)


def _displaced(space: Reckoned, errors: SurveyErrors) -> Iterator[Share]:
    filled_m3, bays = space.laid_out.balanced.filled_m3, space.laid_out.balanced.bays
    for index, each in enumerate(space.upright.displaced):
        half_m3 = each.volume_m3 * errors.displaced_rel_half if each.u_m3 is None else each.u_m3
        taken = taken_from(bay=each.bay, filled=filled_m3, bays=bays)
        part = sum([share for place, share in taken.items() if place in space.places])
        yield Share("displaced", f"displaced {index}", -rectangular(half=half_m3) * part)
        if each.bay is None and len(filled_m3) > 1:
            yield from _where(space, index, each, part)


def _where(space: Reckoned, index: int, displaced: Displaced, part: float) -> Iterator[Share]:
    """Which compartment it lies in is not known: any may hold all of it, together they hold it once.

    One input for each compartment, less their mean by volume; the factor makes the half-width
    of one among many like ones the whole volume.
    """
    many = len(space.laid_out.balanced.filled_m3)
    u_m3 = rectangular(half=displaced.volume_m3) / sqrt(1 - 1 / many)
    for place in range(many):
        held = (1.0 if place in space.places else 0.0) - part
        if abs(held) > 1e-12:
            yield Share("displaced", f"displaced {index} in {place + 1}", -u_m3 * held)


def _share(name: str, of: str, m2: float, half_mm: float) -> Share:
    """The share of a length that errs: by how much volume goes with a metre of it, in m2."""
    return Share(name, of, m2 * rectangular(half=half_mm / 1000))
