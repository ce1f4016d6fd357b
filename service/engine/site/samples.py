"""Density by samples: a core or a cut block of one bay, weighed."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi, prod
from typing import Annotated

from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.shapes import KgPerM3, Probability
from service.engine.ground.uncertainty import Measured, Scatter, Share, rectangular, total
from service.engine.ground.vocabulary import Feel, Shape, Standing, Verdict
from service.engine.plan.density import Window
from service.engine.site.conformity import highest_probability, probability, value_verdict
from service.engine.site.entries import Block, Core, Sample
from service.engine.survey.uncertainties import SampleErrors

SAMPLE_DENSITY = Formula(
    code="sample_density",
    expression="mass / (pi/4 x diameter^2 x length) of a core, mass / (length x width x depth) of a block",
    source="definition of density",
    standing=Standing.DERIVED,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleFinding:
    """A sample's density in kg/m3 (k = 2 for the expanded uncertainty) against the window.

    Its value lies in the window or does not: a value near a limit may be wrong either
    way, a risk that client and firm share. A fill that gives way under the hand is
    `non_conforming` whatever it weighs. `superseded` samples were taken before the bay
    was filled again: they are shown and no longer count.
    """

    entry: Annotated[str, "id of the entry"]
    cavity: Annotated[str, "label of the cavity"]
    bay: Annotated[int, "number of the bay"]
    shape: Annotated[Shape, "what the sample was taken with"]
    density_kg_m3: Annotated[KgPerM3, "density"]
    u_kg_m3: Annotated[KgPerM3, "its standard uncertainty"]
    expanded_u_kg_m3: Annotated[KgPerM3, "its expanded uncertainty, k = 2"]
    probability: Annotated[Probability, "probability of conformity"]
    verdict: Annotated[Verdict, "verdict by the decision rule"]
    feel: Annotated[Feel | None, "what a hand pressed on the fill found"]
    superseded: Annotated[bool, "whether the bay was filled or emptied since"]
    happened_at: Annotated[str, "when it was taken"]
    by: Annotated[str, "who says so"]
    provenance: Annotated[Provenance, "where the figure comes from"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BayFinding:
    """What the samples of one bay say of it together, in kg/m3 (k = 2 for the expanded uncertainty)."""

    bay: Annotated[int, "number of the bay"]
    samples: Annotated[int, "number of samples"]
    density_kg_m3: Annotated[KgPerM3, "density"]
    u_kg_m3: Annotated[KgPerM3, "its standard uncertainty"]
    expanded_u_kg_m3: Annotated[KgPerM3, "its expanded uncertainty, k = 2"]
    probability: Annotated[Probability, "probability of conformity"]
    highest_probability: Annotated[Probability, "the most that any density known this well could have"]
    gives_way: Annotated[bool, "whether the fill gave way under the hand"]
    verdict: Annotated[Verdict, "verdict by the decision rule"]


def sample_density(
    *, sample: Sample, depth_mm: float, tool_mm: float | None, errors: SampleErrors
) -> Measured:
    """The density of a core or a block in kg/m3 (SAMPLE_DENSITY).

    A core without sizes of its own was cut with the firm's tool, `tool_mm` wide, through
    the whole depth, `depth_mm`. Tool, scale and what taking a sample does to it are the same for
    every sample of the job; length and sides are each read anew.
    """
    if isinstance(sample, Core):
        volume_m3, relative = _core(sample, depth_mm, tool_mm, errors)
    elif isinstance(sample, Block):
        volume_m3, relative = _block(sample, errors)
    else:
        raise TypeError(f"{type(sample).__name__} is no sample of a bay")
    density = sample.mass_g / 1000 / volume_m3
    shape = shape_of(sample=sample)
    mass = Share(
        name=f"{shape} mass", of="sample mass", u=rectangular(half=errors.mass_half_g) / sample.mass_g
    )
    return Measured(value=density, shares=tuple(share.scaled(density) for share in (*relative, mass)))


def shape_of(*, sample: Sample) -> Shape:
    """What a sample was taken with."""
    return Shape.CORE if isinstance(sample, Core) else Shape.BLOCK


def sample_finding(
    *, sample: Sample, bay: int, density: Measured, superseded: bool, window: Window
) -> SampleFinding:
    """A sample of a bay against the window, by itself."""
    value, u = density.value, density.u
    lowest, highest = window.lowest_kg_m3.value, window.highest_kg_m3.value
    judged = value_verdict(value=value, lowest=lowest, highest=highest)
    return SampleFinding(
        entry=sample.id,
        cavity=sample.cavity,
        bay=bay,
        shape=shape_of(sample=sample),
        density_kg_m3=value,
        u_kg_m3=u,
        expanded_u_kg_m3=density.expanded_u,
        probability=probability(value=value, u=u, lowest=lowest, highest=highest),
        verdict=Verdict.NON_CONFORMING if sample.feel is Feel.GIVES_WAY else judged,
        feel=sample.feel,
        superseded=superseded,
        happened_at=sample.told_at,
        by=sample.by,
        provenance=SAMPLE_DENSITY.provenance,
    )


def bay_finding(
    *, bay: int, density: Measured, findings: tuple[SampleFinding, ...], window: Window
) -> BayFinding:
    """A bay by its samples: one sample outside the window decides, none is made good by another."""
    value, u = density.value, density.u
    lowest, highest = window.lowest_kg_m3.value, window.highest_kg_m3.value
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
        verdict=Verdict.NON_CONFORMING if refused else Verdict.CONFORMING,
    )


def mean_of_bays(*, sampled: tuple[Measured, ...], bays: int, scatter: Scatter) -> Measured:
    """The mean density of `bays` bays by those that were sampled.

    What bays scatter goes down with the number sampled, and to nothing once all are; each
    sample's own error is divided too, what samples have in common is not.
    """
    mean = total(sampled).scaled(1 / len(sampled))
    u = scatter.of_mean(taken=len(sampled), of=max(bays, len(sampled)))
    return total((mean, Measured(value=0.0, shares=(Share(name="between bays", of="bays", u=u),))))


def _core(
    core: Core, depth_mm: float, tool_mm: float | None, errors: SampleErrors
) -> tuple[float, tuple[Share, ...]]:
    """Volume in m3, and what each input adds to the relative standard uncertainty."""
    diameter_mm, long_mm = _diameter_mm(core, tool_mm), core.length_mm or depth_mm
    return pi / 4 * diameter_mm**2 * long_mm / 1e9, (
        Share(
            name="core diameter",
            of="core diameter",
            u=-2 * rectangular(half=errors.core_diameter_half_mm) / diameter_mm,
        ),
        Share(
            name="core length",
            of=f"core length {core.id}",
            u=-rectangular(half=errors.core_length_half_mm) / long_mm,
        ),
        Share(name="core disturbance", of="core disturbance", u=errors.core_disturbance_rel_u),
    )


def _block(block: Block, errors: SampleErrors) -> tuple[float, tuple[Share, ...]]:
    u_mm = rectangular(half=errors.block_side_half_mm)
    return prod(_sides(block)) / 1e9, (
        *_side_shares(block, u_mm),
        Share(name="block disturbance", of="block disturbance", u=errors.block_disturbance_rel_u),
    )


def _side_shares(block: Block, u_mm: float) -> Iterator[Share]:
    for name, side_mm in zip(("length", "width", "depth"), _sides(block), strict=True):
        yield Share(name=f"block {name}", of=f"block {name} {block.id}", u=-u_mm / side_mm)


def _sides(block: Block) -> tuple[float, float, float]:
    return block.length_mm, block.width_mm, block.depth_mm


def _diameter_mm(core: Core, tool_mm: float | None) -> float:
    diameter_mm = core.diameter_mm or tool_mm
    if diameter_mm is None:
        raise ValueError("a core without a diameter, and the firm has declared no tool")
    return diameter_mm
