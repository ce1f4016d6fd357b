"""Densities that a rule asks for: bounds of the window, and the two that follow from a cavity's depth."""

from dataclasses import dataclass, replace
from math import log
from typing import Annotated

from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.messages import Quantity, message
from service.engine.ground.quick import quick
from service.engine.ground.shapes import KgPerM3
from service.engine.ground.vocabulary import Standing
from service.engine.survey.practice import Loading, Material
from service.errors import Fault, InvalidInput

NON_SETTLING = Formula(
    code="non_settling",
    expression="48 + 5 ln(depth_m/0.1)/ln 3",
    source=(
        "SBi/DBRI, Settling of loose-fill insulation materials in walls, summary: no settling from 48 kg/m3 "
        "at 0.1 m and 53 kg/m3 at 0.3 m, one product at RH 50 %; interpolated here on the logarithm of depth"
    ),
    standing=Standing.DERIVED,
)

FORMULAS = (NON_SETTLING,)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """A density and the rule that asks for it."""

    value: Annotated[KgPerM3, "the density that the rule asks for"]
    provenance: Annotated[Provenance, "the rule, its source and how well it is known"]
    extrapolated: Annotated[bool, "whether the rule is stretched beyond what it was found for"] = False
    binds: Annotated[bool, "whether the rule sets a limit; else it only advises"] = True


def non_settling_kg_m3(*, depth_m: float, binds: bool = False) -> Bound:
    """The density from which fill in a wall `depth_m` deep was found not to settle (NON_SETTLING).

    Between 0.1 and 0.3 m an interpolation, else an extrapolation and marked so. It `binds`
    where the firm declares that it works by it: it is then the firm's.
    """
    known = NON_SETTLING.provenance
    return Bound(
        value=48 + 5 * log(depth_m / 0.1) / log(3),
        provenance=replace(known, standing=Standing.DECLARED) if binds else known,
        extrapolated=not 0.1 <= depth_m <= 0.3,
        binds=binds,
    )


def highest_loading(*, depth_mm: float, material: Material) -> Bound | None:
    """The most that the maker permits at this depth; None where he states no highest loading.

    Raises InvalidInput at `/layers` where the cavity is deeper than any loading stated.
    """
    if not material.loadings:
        return None
    deep_enough = [row for row in material.loadings if row.depth_mm >= depth_mm]
    if not deep_enough:
        deepest = max(row.depth_mm for row in material.loadings)
        said = message(
            "plan.deeper_than_any_loading",
            material=material.code,
            deepest=Quantity(deepest, "mm"),
            depth=Quantity(depth_mm, "mm"),
        )
        raise InvalidInput(Fault("/layers", said))
    row: Loading = min(deep_enough, key=lambda each: each.depth_mm)
    return Bound(
        value=row.density_kg_m3,
        provenance=Provenance(
            rule=message("plan.highest_loading", depth=Quantity(row.depth_mm, "mm")),
            source=f"REACH Annex XVII entry 65; {material.source}",
            standing=material.standing,
        ),
    )
