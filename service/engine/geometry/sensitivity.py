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
from math import hypot
from operator import mul
from typing import NamedTuple

from service.engine.geometry.displaced_errors import displaced_shares
from service.engine.geometry.lengths import Lengths
from service.engine.geometry.opening_errors import opening_shares
from service.engine.geometry.plane import Plane
from service.engine.geometry.reckoned import Reckoned, reckoned
from service.engine.ground.uncertainty import Share, rectangular
from service.engine.ground.vocabulary import Runs, Surveyed
from service.engine.survey.cavity import Framing
from service.engine.survey.uncertainties import SizeErrors, SurveyErrors

ALONG = ("length", "plates")  # what lies along the members, and goes by a space's breadth


class Rate(NamedTuple):
    """What an input that errs does, in m3, to all of each layer, and last whatever a space has of them.

    A space has its part of the former.
    """

    name: str
    of: str
    u_m3: list[float]


class Depths(NamedTuple):
    """Half-widths in mm of the depths, layer by layer.

    Where the depth of all layers together was measured, the layer at `rest` is what the others
    leave of it, and its half-width is that of the whole.
    """

    halves_mm: tuple[float, ...]
    rest: int | None = None


class Sensitivity:
    """How the volume of any space of a cavity errs: as standard uncertainties, in m3.

    A space is named by its bays, from 1: it has every compartment that lies in them, and all of
    the cavity where an opening has no place. The half-widths are those of the cavity's
    `surveyed`, or `sizes` and `depths` where some were counted on site later than the survey. What is the
    same for all spaces is worked out once.
    """

    def __init__(
        self,
        *,
        laid_out: Plane,
        errors: SurveyErrors,
        sizes: SizeErrors | None = None,
        depths: Depths | None = None,
    ) -> None:
        self._laid_out, self._errors = laid_out, errors
        self._half = sizes or errors.of(surveyed=laid_out.cavity.surveyed)
        self._depths = depths or Depths((self._half.depth_mm,) * len(laid_out.lengths))
        self._known: dict[bool, tuple[Rate, ...]] = {}

    def shares(self, *, bays: Collection[int]) -> tuple[Share, ...]:
        """What each input contributes to the net volume of a space."""
        space = reckoned(laid_out=self._laid_out, bays=bays)
        rates = self._rates(space)
        shares = [Share(each.name, each.of, u) for each, u in zip(rates, _rated(rates, space), strict=True)]
        shares += [Share("width", f"width {space.name}", self._width_u_m3(space)), *self._besides(space)]
        return tuple([share for share in shares if share.u])

    def u_m3(self, *, bays: Collection[int]) -> float:
        """The standard uncertainty of that volume: no two of its shares are of one input."""
        space = reckoned(laid_out=self._laid_out, bays=bays)
        besides = [u for _, _, u in self._besides(space)]
        return hypot(*_rated(self._rates(space), space), self._width_u_m3(space), *besides)

    def _rates(self, space: Reckoned) -> tuple[Rate, ...]:
        """Those of a single bay, or of several: they have more that errs."""
        if space.single not in self._known:
            self._known[space.single] = _rates(space, self._half, self._depths, self._errors)
        return self._known[space.single]

    def _width_u_m3(self, space: Reckoned) -> float:
        """A single bay is measured from member to member, several as far as the members at their ends."""
        if space.single:
            m2, half_mm = space.volume_m3 / space.clear_width_m, self._half.width_mm
        else:
            m2 = sum([each.kept_m * each.across_m for each in space.lengths])
            half_mm = self._half.span_mm if space.turned else self._half.width_mm
        return m2 * rectangular(half=half_mm / 1000)

    def _besides(self, space: Reckoned) -> Iterator[Share]:
        if space.upright.openings:
            yield from opening_shares(space=space, half_mm=self._half.opening_mm)
        if space.upright.displaced:
            yield from displaced_shares(space=space, errors=self._errors)


def volume_shares(
    *,
    laid_out: Plane,
    bays: Collection[int],
    errors: SurveyErrors,
    sizes: SizeErrors | None = None,
    depths: Depths | None = None,
) -> tuple[Share, ...]:
    """What each input that errs contributes to the net volume of one space (see `Sensitivity`)."""
    known = Sensitivity(laid_out=laid_out, errors=errors, sizes=sizes, depths=depths)
    return known.shares(bays=bays)


def _rated(rates: tuple[Rate, ...], space: Reckoned) -> list[float]:
    parts, abreast = (*space.parts, 1.0), (*space.abreast, 1.0)
    return [sum(map(mul, u_m3, abreast if name in ALONG else parts)) for name, _, u_m3 in rates]


def _rates(space: Reckoned, half: SizeErrors, depths: Depths, errors: SurveyErrors) -> tuple[Rate, ...]:
    """What an input does to several layers adds up."""
    rates: dict[str, Rate] = {}
    for name, of, place, u_m3 in (*_depths(space, depths), *_inputs(space, half, errors)):
        if of not in rates:
            rates[of] = Rate(name, of, [0.0] * (len(space.lengths) + 1))
        rates[of].u_m3[place] += u_m3
    return tuple(rates.values())


_Input = tuple[str, str, int, float]
_WHATEVER = -1  # the place of what does not go by a space's part


def _depths(space: Reckoned, depths: Depths) -> Iterator[_Input]:
    """What a layer is deeper, the layer that has the rest of a measured whole is less deep."""
    for place, each in enumerate(space.lengths):
        u_m = rectangular(half=depths.halves_mm[place] / 1000)
        yield "depth", f"depth {place}", place, each.area.net_m2 * u_m
        if depths.rest not in (None, place):
            rest = space.lengths[depths.rest]
            yield "depth", f"depth {place}", depths.rest, -rest.area.net_m2 * u_m


def _inputs(space: Reckoned, half: SizeErrors, errors: SurveyErrors) -> Iterator[_Input]:
    """What errs in each layer, the layer's place, and what that does to all of the layer."""
    along_mm = half.width_mm if space.turned and not space.single else half.span_mm
    along_u_m = rectangular(half=along_mm / 1000)
    drawn = space.laid_out.cavity.surveyed is not Surveyed.COUNTED
    for place, each in enumerate(space.lengths):
        yield "length", "length", place, each.kept_m * each.along_m * along_u_m
        framing = each.framing
        if framing is None:
            continue
        if framing.timber_fraction is not None:
            u = errors.timber_fraction_u if framing.timber_fraction_u is None else framing.timber_fraction_u
            u_m3 = -u * each.depth_m * space.laid_out.insulated_m2
            yield "timber fraction", f"timber fraction {place}", place, u_m3
            continue
        yield from _members(space, place, each, framing, rectangular(half=half.member_mm / 1000))
        if drawn and not space.single and not framing.is_counted:
            yield _one_member(space, place, each, framing)


def _members(space: Reckoned, place: int, each: Lengths, framing: Framing, u_m: float) -> Iterator[_Input]:
    """Members inside the space, and plates; the broader, the less is left."""
    if framing.runs is Runs.ACROSS or not space.single:
        members_m2 = each.kept_m * each.members * each.member_length_m
        yield "member breadth", f"member breadth {place}", place, -members_m2 * u_m
    if framing.plates_mm:
        yield "plates", f"plates {place}", place, -each.kept_m * each.between_members_m * u_m


def _one_member(space: Reckoned, place: int, each: Lengths, framing: Framing) -> _Input:
    """As drawn: one member more or less in each framed layer of several bays; opposite ones err together."""
    of = f"members {framing.runs}" if space.upright.leaves_aligned else f"members {place}"
    half_m = (framing.member_mm or 0.0) / 1000
    return "members", of, _WHATEVER, -each.kept_m * each.member_length_m * rectangular(half=half_m)
