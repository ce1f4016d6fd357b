"""Density by samples: a core, a cut block or a box of known volume, weighed."""

from dataclasses import dataclass
from math import pi, prod, sqrt
from statistics import stdev

from service.engine.ground.formula import Formula
from service.engine.ground.uncertainty import Measured, Share, rectangular, total
from service.engine.ground.vocabulary import Feel, Shape, Standing, Verdict
from service.engine.plan.density import Window
from service.engine.site.conformity import highest_probability, probability, verdict
from service.engine.site.entries import Sample
from service.engine.survey.practice import Decision
from service.engine.survey.uncertainties import Uncertainties
from service.errors import Fault, InvalidInput

SAMPLE_DENSITY = Formula(
    code="sample_density",
    name="Density of a sample",
    expression=(
        "mass / (pi/4 x diameter^2 x length) of a core, mass / (length x width x depth) of a block, "
        "mass / volume of a box"
    ),
    source="definition of density",
    standing=Standing.DERIVED,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleFinding:
    """A sample's density in kg/m3 (k = 2 for the expanded uncertainty) against the window.

    A fill that gives way under the hand is `non_conforming` whatever it weighs.
    `superseded` samples were taken before the bay was filled again: they are
    shown and no longer count.
    """

    entry: str
    cavity: str
    bay: int
    shape: Shape
    density_kg_m3: float
    u_kg_m3: float
    expanded_u_kg_m3: float
    probability: float
    verdict: Verdict
    feel: Feel | None
    superseded: bool
    happened_at: str
    by: str
    rule: str
    source: str
    standing: Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class BayFinding:
    """What the samples of one bay say of it together, in kg/m3 (k = 2 for the expanded uncertainty)."""

    bay: int
    samples: int
    density_kg_m3: float
    u_kg_m3: float
    expanded_u_kg_m3: float
    probability: float
    highest_probability: float
    gives_way: bool
    verdict: Verdict


def sample_density(*, sample: Sample, uncertainties: Uncertainties) -> Measured:
    """The density of a sample in kg/m3 (SAMPLE_DENSITY).

    Samples of one shape are taken with the same tools and the same hand: what
    their inputs contribute is fully correlated from sample to sample. Raises
    InvalidInput at the size that the shape needs and the sample does not give.
    """
    volume_m3, relative = _volume(sample, uncertainties)
    relative["mass"] = rectangular(half=uncertainties.core_mass_half_g) / sample.mass_g
    density = sample.mass_g / 1000 / volume_m3
    return Measured(
        value=density,
        shares=tuple(
            Share(name=f"{sample.shape} {name}", of=f"{sample.shape} {name}", u=density * u)
            for name, u in relative.items()
        ),
    )


def sample_finding(
    *, sample: Sample, bay: int, density: Measured, superseded: bool, window: Window, decision: Decision
) -> SampleFinding:
    """A sample of a bay against the window, by itself."""
    value, u = density.value, density.u
    lowest, highest = window.lowest_kg_m3.value, window.highest_kg_m3.value
    judged = verdict(value=value, u=u, decision=decision, lowest=lowest, highest=highest)
    return SampleFinding(
        entry=sample.id,
        cavity=sample.cavity,
        bay=bay,
        shape=sample.shape,
        density_kg_m3=value,
        u_kg_m3=u,
        expanded_u_kg_m3=density.expanded_u,
        probability=probability(value=value, u=u, lowest=lowest, highest=highest),
        verdict=Verdict.NON_CONFORMING if sample.feel is Feel.GIVES_WAY else judged,
        feel=sample.feel,
        superseded=superseded,
        happened_at=sample.happened_at,
        by=sample.by,
        rule=SAMPLE_DENSITY.name,
        source=SAMPLE_DENSITY.source,
        standing=SAMPLE_DENSITY.standing,
    )


def bay_finding(
    *,
    bay: int,
    density: Measured,
    findings: tuple[SampleFinding, ...],
    window: Window,
    decision: Decision,
) -> BayFinding:
    """A bay by its samples: one non-conforming sample decides, else what all of them say together."""
    value, u = density.value, density.u
    lowest, highest = window.lowest_kg_m3.value, window.highest_kg_m3.value
    judged = verdict(value=value, u=u, decision=decision, lowest=lowest, highest=highest)
    refused = any(finding.verdict is Verdict.NON_CONFORMING for finding in findings)
    return BayFinding(
        bay=bay,
        samples=len(findings),
        density_kg_m3=value,
        u_kg_m3=u,
        expanded_u_kg_m3=density.expanded_u,
        probability=probability(value=value, u=u, lowest=lowest, highest=highest),
        highest_probability=highest_probability(u=u, lowest=lowest, highest=highest),
        gives_way=any(finding.feel is Feel.GIVES_WAY for finding in findings),
        verdict=Verdict.NON_CONFORMING if refused else judged,
    )


def mean_of_bays(*, bays: tuple[Measured, ...]) -> Measured:
    """The mean density of the sampled bays, with the scatter between them as far as it is seen."""
    mean = total(bays).scaled(1 / len(bays))
    if len(bays) == 1:
        return mean
    scatter = stdev(bay.value for bay in bays) / sqrt(len(bays))
    return total((mean, Measured(value=0.0, shares=(Share(name="between bays", of="bays", u=scatter),))))


def _volume(sample: Sample, uncertainties: Uncertainties) -> tuple[float, dict[str, float]]:
    """Volume in m3 and the relative standard uncertainty that each measured size gives it."""
    if sample.shape is Shape.BOX:
        relative = {"volume": rectangular(half=uncertainties.box_volume_rel_half)}
        return _size(sample, "volume_l") / 1000, relative
    if sample.shape is Shape.BLOCK:
        sides = {name: _size(sample, f"{name}_mm") for name in ("length", "width", "depth")}
        u_mm = rectangular(half=uncertainties.block_side_half_mm)
        return prod(sides.values()) / 1e9, {name: u_mm / side for name, side in sides.items()}
    diameter_mm, length_mm = _size(sample, "diameter_mm"), _size(sample, "length_mm")
    return pi / 4 * diameter_mm**2 * length_mm / 1e9, {
        "diameter": 2 * rectangular(half=uncertainties.core_diameter_half_mm) / diameter_mm,
        "length": rectangular(half=uncertainties.core_length_half_mm) / length_mm,
        "disturbance": uncertainties.core_disturbance_rel_u,
    }


def _size(sample: Sample, field: str) -> float:
    size: float | None = getattr(sample, field)
    if size is None:
        raise InvalidInput(Fault(f"/{field}", f"A sample of the shape {sample.shape} needs {field}."))
    return size
