"""What the errors of a survey do to the net volume of a space.

The space is named by its bays: one bay, those of a shared compartment, several bays that
were noted together, or all of a cavity. Each share is in m3, of one of the identical
cavities, with its sign; `of` names the input that errs, so that shares of one input
in several spaces of the same cavity add up before anything is squared.

| name | of | |
| --- | --- | --- |
| depth | `depth 0` | each layer's depth |
| width | `width 3`, `width` | the clear width of a single bay, or the cavity's |
| length | `length` | the span |
| member breadth | `member breadth 0` | of members that stand inside the space |
| plates | `plates 0` | what the plates take of the length |
| openings | `openings 0 width`, `openings 0 height` | each row of openings |
| members | `members 0` | drawn: one member more or less in spaces of several bays |
| timber fraction | `timber fraction 0` | an assumed fraction |
| unplaced openings | `unplaced openings 0` | a member cut more or less; `0 0` for layers that err apart |
| displaced | `displaced 0`, `displaced 0 bay 3` | the volume, and the bay that it lies in |
"""

from collections.abc import Collection, Iterator

from service.engine.geometry.compartments import Compartment, compartments
from service.engine.geometry.geometry import Geometry, geometry
from service.engine.ground.uncertainty import Share, rectangular
from service.engine.ground.vocabulary import Surveyed
from service.engine.survey.cavity import Cavity
from service.engine.survey.uncertainties import SizeErrors, SurveyErrors


def volume_shares(
    *, cavity: Cavity, bays: Collection[int], errors: SurveyErrors, sizes: SizeErrors | None = None
) -> tuple[Share, ...]:
    """What each input that errs contributes to a space's net volume, in m3 (standard uncertainties).

    `bays` number the space's bays from 1; the space has every compartment that lies in
    them. `sizes` are the half-widths to take where some were counted on site later than the
    survey; None takes those of the cavity's `surveyed`. Raises InvalidInput for a cavity
    that `geometry` refuses.
    """
    shape = geometry(cavity=cavity)
    spaces = [each for each in compartments(cavity=cavity) if set(each.bays) <= set(bays)]
    taken = sizes or (errors.counted if cavity.surveyed is Surveyed.COUNTED else errors.drawn)
    return tuple(_shares(cavity, shape, spaces, taken))


def _shares(cavity: Cavity, shape: Geometry, spaces: list[Compartment], sizes: SizeErrors) -> Iterator[Share]:
    volume_m3 = sum(each.net_volume_m3 for each in spaces)
    part = volume_m3 * cavity.count / shape.net_volume_m3
    bays = {bay for each in spaces for bay in each.bays}
    single = min(bays) if len(bays) == 1 and shape.bays > 1 else None
    width_m = cavity.width_m if single is None else shape.bay_widths_m[single - 1]
    of = "width" if single is None else f"width {single}"
    for place, layer in enumerate(shape.layers):
        u_m3 = rectangular(half=sizes.depth_mm / 1000) * layer.net_area_m2 / cavity.count * part
        yield Share(name="depth", of=f"depth {place}", u=u_m3)
    yield Share(name="width", of=of, u=volume_m3 * rectangular(half=sizes.width_mm / 1000) / width_m)
    yield Share(
        name="length", of="length", u=volume_m3 * rectangular(half=sizes.span_mm / 1000) / cavity.span_m
    )
