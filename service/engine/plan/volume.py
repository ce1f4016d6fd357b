"""The volume that fill takes in a space, with what errs in it: the space's own, and a facing's bulge."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from service.engine.geometry.compartments import Part
from service.engine.geometry.plane import Plane
from service.engine.geometry.sensitivity import Depths, volume_shares
from service.engine.ground.uncertainty import Measured, Share, rectangular
from service.engine.plan.quantities import (
    BULGE_FACTOR_HALF,
    bulge_volume_m3,
    clear_facing_m2,
    expected_bulge_mm,
)
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Practice
from service.engine.survey.uncertainties import SizeErrors, SurveyErrors


@dataclass(frozen=True, slots=True, kw_only=True)
class Bulge:
    """A facing's bulge at mid-bay, within +- `half_mm`; not `measured` where only expected."""

    bulge_mm: float
    half_mm: float
    measured: bool


def net_volume(
    *,
    laid_out: Plane,
    bays: Collection[int],
    net_volume_m3: float,
    errors: SurveyErrors,
    sizes: SizeErrors | None = None,
    depths: Depths | None = None,
) -> Measured:
    """The net volume of a space in m3, of one of the identical cavities, without bulge.

    `sizes` and `depths` are the half-widths where some were counted on site after the survey.
    """
    shares = volume_shares(laid_out=laid_out, bays=bays, errors=errors, sizes=sizes, depths=depths)
    return Measured(value=net_volume_m3, shares=shares)


def bulge_volume(*, cavity: Cavity, bays: Collection[int], bulge: Bulge, parts: Iterable[Part]) -> Measured:
    """Volume in m3 that a bulge adds to a space, of one of the identical cavities.

    `parts` are those of the whole cavity. The factor is one for all facings of a job.
    """
    within = frozenset(bays)
    facing_m2 = clear_facing_m2(cavity=cavity, parts=[part for part in parts if part.bay in within])
    return bulging(facing_m2=facing_m2, bulge=bulge)


def bulging(*, facing_m2: float, bulge: Bulge) -> Measured:
    """Volume in m3 that a bulge adds over so much clear area of the facing."""
    per_mm = bulge_volume_m3(bulge_mm=1.0, facing_m2=facing_m2)
    of_factor = bulge.bulge_mm / 1000 * facing_m2 * rectangular(half=BULGE_FACTOR_HALF)
    return Measured(
        value=per_mm * bulge.bulge_mm,
        shares=(
            Share(name="bulge", of="bulge", u=per_mm * rectangular(half=bulge.half_mm)),
            Share(name="bulge factor", of="bulge factor", u=of_factor),
        ),
    )


def unsaid_bulge(*, cavity: Cavity, practice: Practice) -> Bulge:
    """What nobody measured: half of what the facing is allowed, within as much."""
    half_mm = expected_bulge_mm(facing=cavity.facing, practice=practice) / 2
    return Bulge(bulge_mm=half_mm, half_mm=half_mm, measured=False)
