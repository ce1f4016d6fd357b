"""How far what is measured may be from what is so: the firm's declared half-widths and scatters.

`_half` fields are half-widths of a rectangular distribution (JCGM 100, 4.3.7), `_u`
fields standard uncertainties, `_rel` are relative to the value.

A firm declares a group whole or not at all. Where it declares none, an estimate of ours
stands in its place, from memory: good enough for a takeoff, never for a certificate.
"""

from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.shapes import KgPerM3, Kilograms, Millimetres, Unit
from service.engine.ground.vocabulary import Standing, Surveyed
from service.engine.survey.sourced import Sourced

ESTIMATED = "an estimate in place of the firm's own figures, from memory: for takeoffs only"


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeErrors:
    """Half-widths in mm of each size of a cavity, of the size that was measured.

    `width_mm` is that of a bay's clear width from member to member, and of a whole
    cavity's width; `opening_mm` that of either side of an opening.
    """

    depth_mm: Annotated[Millimetres, "half-width of a depth"]
    width_mm: Annotated[Millimetres, "half-width of a bay's or a cavity's width"]
    span_mm: Annotated[Millimetres, "half-width of a span"]
    member_mm: Annotated[Millimetres, "half-width of a member's breadth"]
    opening_mm: Annotated[Millimetres, "half-width of an opening's side"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyErrors(Sourced):
    """Of what is surveyed: sizes `counted` on site, sizes `drawn`, and what is assumed.

    `timber_fraction_u` is of an assumed timber fraction that comes without its own,
    `displaced_rel_half` of a displaced volume that does.
    """

    counted: Annotated[SizeErrors, "of sizes that were counted on site"]
    drawn: Annotated[SizeErrors, "of sizes from drawings"]
    timber_fraction_u: Annotated[float, Unit(""), "standard uncertainty of an assumed timber fraction"]
    displaced_rel_half: Annotated[float, Unit(""), "relative half-width of a displaced volume"]

    def of(self, *, surveyed: Surveyed) -> SizeErrors:
        """The half-widths of sizes that came about like this; estimated ones are as drawn."""
        return self.counted if surveyed is Surveyed.COUNTED else self.drawn


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighingErrors(Sourced):
    """Of kilograms: the scale, bags, and what is in machine and hose.

    A label states a minimum: a bag holds that and `bag_over_label_rel`, within as much
    either way. Bags differ by `bag_spread_rel_u`. A machine run empty holds nothing,
    within `run_empty_half_kg`; a hopper that was read holds what was read, within
    `hopper_half_kg`.
    """

    scale_half_kg: Annotated[Kilograms, "half-width of the scale"]
    bag_over_label_rel: Annotated[
        float, Unit(""), "how much more than its label a bag holds, relative, within as much"
    ]
    bag_spread_rel_u: Annotated[float, Unit(""), "how bags differ, relative"]
    run_empty_half_kg: Annotated[Kilograms, "half-width of what a machine run empty still holds"]
    hopper_half_kg: Annotated[Kilograms, "half-width of a reading of the hopper"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingErrors(Sourced):
    """Of what is read at the fill: a facing's bulge, an open blow's thickness.

    `evenness_u_mm` is how thickness scatters from place to place on an open floor.
    """

    bulge_half_mm: Annotated[Millimetres, "half-width of a bulge"]
    ruler_half_mm: Annotated[Millimetres, "half-width of a depth read at a ruler"]
    evenness_u_mm: Annotated[Millimetres, "how the thickness of an open blow scatters from place to place"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleErrors(Sourced):
    """Of samples, and how bays scatter.

    `disturbance_rel_u` is what taking a core, or cutting a block, does to its density.
    `between_bays_u_kg_m3` stands in the place of a scatter that too few bays show. A
    core's diameter, a block's sides and a box's volume are never known exactly: theirs
    are above 0.
    """

    core_diameter_half_mm: Annotated[Millimetres, "half-width of a core's diameter"]
    core_length_half_mm: Annotated[Millimetres, "half-width of a core's length"]
    core_disturbance_rel_u: Annotated[float, Unit(""), "what taking a core does to its density, relative"]
    block_side_half_mm: Annotated[Millimetres, "half-width of a block's side"]
    block_disturbance_rel_u: Annotated[float, Unit(""), "what cutting a block does to its density, relative"]
    box_volume_rel_half: Annotated[float, Unit(""), "relative half-width of a box's volume"]
    mass_half_g: Annotated[float, Unit("g"), "half-width of a sample's mass"]
    between_bays_u_kg_m3: Annotated[KgPerM3, "how bays scatter, where too few show it"]


SURVEY = SurveyErrors(
    counted=SizeErrors(depth_mm=3.0, width_mm=2.0, span_mm=3.0, member_mm=1.0, opening_mm=5.0),
    drawn=SizeErrors(depth_mm=5.0, width_mm=10.0, span_mm=10.0, member_mm=2.0, opening_mm=10.0),
    timber_fraction_u=0.03,
    displaced_rel_half=0.2,
    source=ESTIMATED,
    standing=Standing.FROM_MEMORY,
)
WEIGHING = WeighingErrors(
    scale_half_kg=0.1,
    bag_over_label_rel=0.03,
    bag_spread_rel_u=0.02,
    run_empty_half_kg=1.0,
    hopper_half_kg=0.5,
    source=ESTIMATED,
    standing=Standing.FROM_MEMORY,
)
READING = ReadingErrors(
    bulge_half_mm=5.0,
    ruler_half_mm=5.0,
    evenness_u_mm=10.0,
    source=ESTIMATED,
    standing=Standing.FROM_MEMORY,
)
SAMPLE = SampleErrors(
    core_diameter_half_mm=1.0,
    core_length_half_mm=5.0,
    core_disturbance_rel_u=0.03,
    block_side_half_mm=3.0,
    block_disturbance_rel_u=0.02,
    box_volume_rel_half=0.01,
    mass_half_g=1.0,
    between_bays_u_kg_m3=3.0,
    source=ESTIMATED,
    standing=Standing.FROM_MEMORY,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertainties:
    """The four groups, each the firm's own or an estimate, as its standing says."""

    survey: Annotated[SurveyErrors, "of what is surveyed"] = SURVEY
    weighing: Annotated[WeighingErrors, "of kilograms"] = WEIGHING
    reading: Annotated[ReadingErrors, "of what is read at the fill"] = READING
    sample: Annotated[SampleErrors, "of samples"] = SAMPLE


ESTIMATES = Uncertainties()
