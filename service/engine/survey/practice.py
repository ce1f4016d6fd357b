"""What a contractor works by: materials, lances and the practice profile.

Plain data, all of it the contractor's to configure. Nothing here is a default
of the engine: every figure is a row with a source and a standing.
"""

from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.shapes import (
    Conductivity,
    Degrees,
    KgPerM2,
    KgPerM3,
    Kilograms,
    Metres,
    Millimetres,
    Percent,
    SquareMetres,
    Unit,
)
from service.engine.ground.vocabulary import Element, Facing, Fill, Market, Method, Stage, Standing
from service.engine.survey.rates import Rates
from service.engine.survey.sourced import Sourced, Texts
from service.engine.survey.uncertainties import ESTIMATES, Uncertainties
from service.engine.survey.usual import UsualFraming

# A guard band of 1.645 u: 95 % of a normal distribution lie on one side (JCGM 106, 8.3.2).
LEAST_GUARD_FACTOR = 1.645


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetDensity:
    """What a data sheet says of the density in one element, in kg/m3; not every sheet names a target."""

    element: Annotated[Element, "the element that it is for"]
    lowest_kg_m3: Annotated[KgPerM3, "lowest density"]
    highest_kg_m3: Annotated[KgPerM3, "highest density"]
    target_kg_m3: Annotated[KgPerM3 | None, "density to aim at, where the sheet names one"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    """The highest loading (REACH Annex XVII entry 65): up to this depth, at most this density."""

    depth_mm: Annotated[Millimetres, "up to this depth"]
    density_kg_m3: Annotated[KgPerM3, "at most this density"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartRow:
    """A row of the label chart for open blow (subjects of 16 CFR 460.12(b)(2), SI units).

    `label_r` is the printed US R-value (ft2 h F/Btu); `bags_per_100_m2` and
    `lowest_kg_m2` are at the minimum settled thickness.
    """

    label_r: Annotated[float, Unit("ft2 h F/Btu"), "R as the chart prints it"]
    initial_mm: Annotated[Millimetres, "least thickness as blown"]
    settled_mm: Annotated[Millimetres, "least settled thickness"]
    bags_per_100_m2: Annotated[float, Unit("bags per 100 m2"), "bags at the least settled thickness"]
    lowest_kg_m2: Annotated[KgPerM2, "least mass per area at the least settled thickness"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedRow:
    """A row of the maker's chart for closed cavities: what a cavity `depth_mm` deep has when it is full.

    `label_r` is the printed US R-value (ft2 h F/Btu) of the whole depth; it holds for
    densities from `lowest_kg_m3` to `highest_kg_m3`.
    """

    depth_mm: Annotated[Millimetres, "depth of the full cavity"]
    label_r: Annotated[float, Unit("ft2 h F/Btu"), "R of the whole depth as the chart prints it"]
    lowest_kg_m3: Annotated[KgPerM3, "lowest density that it holds for"]
    highest_kg_m3: Annotated[KgPerM3, "highest density that it holds for"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Material(Sourced):
    """A loose-fill material by its data sheet.

    `conductivity_w_mk` is declared for densities between
    `conductivity_lowest_kg_m3` and `conductivity_highest_kg_m3`. Open blow needs
    `settled_kg_m3` and `settlement_percent`. `bag_kg` is the label's minimum net
    weight. `chart` is for open blow, `closed_chart` for closed cavities.
    """

    code: Annotated[str, "code of the material"]
    name: Annotated[str, "name of the material"]
    maker: Annotated[str, "who makes it"]
    sheet: Annotated[str, "the data sheet and its date"]
    conductivity_w_mk: Annotated[Conductivity, "design thermal conductivity"]
    conductivity_lowest_kg_m3: Annotated[KgPerM3, "lowest density that the conductivity is declared for"]
    conductivity_highest_kg_m3: Annotated[KgPerM3, "highest density that the conductivity is declared for"]
    densities: Annotated[tuple[SheetDensity, ...], "densities for dense fill, by element"]
    bag_kg: Annotated[Kilograms, "least net mass of a bag by its label"]
    settled_kg_m3: Annotated[KgPerM3 | None, "density of an open blow once it has settled"] = None
    settlement_percent: Annotated[Percent | None, "how much of its thickness an open blow loses"] = None
    settlement_class: Annotated[str | None, "class of settlement that the sheet declares"] = None
    loadings: Annotated[tuple[Loading, ...], "highest loadings by depth"] = ()
    chart: Annotated[tuple[ChartRow, ...], "label chart for open blow"] = ()
    closed_chart: Annotated[tuple[ClosedRow, ...], "label chart for closed cavities"] = ()
    mu: Annotated[float | None, Unit(""), "water vapour resistance factor"] = None
    hazards: Annotated[tuple[Texts, ...], "what the sheet warns of"] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Lance:
    """A steel tube for the end of the hose: `curve_deg` is 0 for a straight one."""

    code: Annotated[str, "code of the lance"]
    length_mm: Annotated[Millimetres, "length of the tube"]
    diameter_mm: Annotated[Millimetres, "outer diameter"]
    curve_deg: Annotated[Degrees, "how far its end is bent; 0 is straight"] = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DensityBand(Sourced):
    """A band of practice, in kg/m3, for cavities within these limits.

    A limit that is None does not bind; `over` is exclusive, `up_to` inclusive.
    """

    element: Annotated[Element, "the element that it is for"]
    lowest_kg_m3: Annotated[KgPerM3, "lowest density"]
    highest_kg_m3: Annotated[KgPerM3 | None, "highest density; null does not bind"] = None
    target_kg_m3: Annotated[KgPerM3 | None, "density to aim at"] = None
    depth_over_mm: Annotated[Millimetres | None, "holds for cavities deeper than this"] = None
    depth_up_to_mm: Annotated[Millimetres | None, "holds for cavities up to this depth"] = None
    span_over_m: Annotated[Metres | None, "holds for spans longer than this"] = None
    span_up_to_m: Annotated[Metres | None, "holds for spans up to this"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampling(Sourced):
    """How many bays of a shared compartment are sampled, with what, and how many depths of an open blow.

    `core_diameter_mm` is the inside of the firm's core cutter; None where it has none,
    and cuts blocks.
    """

    one_in_bays: Annotated[int, "one bay in so many is sampled"]
    at_least: Annotated[int, "samples of a compartment, at least"]
    last_bay: Annotated[bool, "whether the bay that was filled last is always sampled"]
    at_least_depths: Annotated[int, "depths of an open blow, at least"] = 6
    core_diameter_mm: Annotated[
        Millimetres | None, "inner diameter of the core cutter; null where the firm cuts blocks"
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision(Sourced):
    """The decision rules: probabilities at which a verdict turns (JCGM 106), and what the firm works by.

    An open blow is planned above the least by `guard_factor` standard uncertainties.
    `non_settling_binds`: no target lies below the density found not to settle.
    `contradiction_decides`: mass balance and samples of one compartment that lie further
    apart than their expanded uncertainties contradict each other (the normalised error).
    """

    conforming_from: Annotated[float, Unit(""), "probability from which a part conforms"]
    non_conforming_to: Annotated[float, Unit(""), "probability up to which a part does not conform"]
    guard_factor: Annotated[
        float, Unit(""), "standard uncertainties that an open blow is planned above the least"
    ] = LEAST_GUARD_FACTOR
    non_settling_binds: Annotated[bool, "whether no target lies below the density found not to settle"] = (
        False
    )
    contradiction_decides: Annotated[
        bool, "whether mass balance and samples that contradict each other stand in the way"
    ] = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Patching(Sourced):
    """How holes are closed: `past_hole_mm` beyond the hole all round, from a roll `roll_mm` wide.

    A patch wider than the roll is made of strips side by side that lap by `lap_mm`
    (common practice, from memory: 50 to 60 mm).
    """

    past_hole_mm: Annotated[Millimetres, "how far a patch reaches beyond the hole all round"]
    roll_mm: Annotated[Millimetres, "width of the roll of tape"]
    lap_mm: Annotated[Millimetres, "how far strips side by side lap"] = 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LanceUse(Sourced):
    """What working with a lance allows for.

    `held_mm` of its length stays outside, in the hand and at the hose's coupling;
    `slit_mm` is the height of the slit in a facing that can be slit (membrane or
    netting), the slit's breadth is the method's `hole_mm`; a lance whose reach is
    under `least_reach_mm` is of no use where one hole a part does not do.
    """

    held_mm: Annotated[Millimetres, "length that stays outside"]
    slit_mm: Annotated[Millimetres, "height of the slit in a facing"]
    least_reach_mm: Annotated[Millimetres, "reach below which a lance is of no use"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bulge(Sourced):
    """How far a facing is expected to bulge between its battens, at mid-bay."""

    facing: Annotated[Facing, "the facing"]
    bulge_mm: Annotated[Millimetres, "expected bulge at mid-bay"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A number that a hold point asks for: its unit, and the least and the most that are clear."""

    unit: Annotated[str, "unit that the number is in"]
    least: Annotated[float | None, "what is clear is no less"] = None
    most: Annotated[float | None, "what is clear is no more"] = None

    def allows(self, reading: float) -> bool:
        """Whether a reading is clear."""
        above = self.least is None or reading >= self.least
        return above and (self.most is None or reading <= self.most)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPointRule(Sourced):
    """A safety condition that must be answered; empty tuples and None mean "any".

    No concession is granted for a `safety` hold point. A `single` one is answered by
    itself, never with others at one tap.
    """

    code: Annotated[str, "code of the hold point"]
    stage: Annotated[Stage, "whether it is due before filling or after"]
    text: Annotated[Texts, "what must be answered, by language"]
    per_cavity: Annotated[bool, "whether each cavity has its own"] = False
    elements: Annotated[tuple[Element, ...], "elements that it is for; none named: all"] = ()
    fills: Annotated[tuple[Fill, ...], "ways of lying that it is for; none named: all"] = ()
    facings: Annotated[tuple[Facing, ...], "facings that it is for; none named: all"] = ()
    markets: Annotated[tuple[Market, ...], "markets that it is for; none named: all"] = ()
    built_before: Annotated[int | None, "only for houses built before this year"] = None
    safety: Annotated[bool, "whether it is about safety: no concession is granted for it"] = True
    single: Annotated[bool, "whether it is answered by itself"] = False
    reading: Annotated[Reading | None, "the number that it asks for"] = None
    crews: Annotated[bool, "whether the crew sees to it by itself, and no client has to"] = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Experience(Sourced):
    """What the firm's own parts of one element, filled in one way, took of what was planned, as adopted.

    More or less is ordered by it; what a cavity is to be filled with stays as it is planned.
    """

    element: Annotated[Element, "the part of the envelope"]
    method: Annotated[Method, "way of filling"]
    median: Annotated[float, Unit(""), "median of the mass in a part, over what was planned"]
    lower_quartile: Annotated[float, Unit(""), "a quarter of the parts lay below"]
    upper_quartile: Annotated[float, Unit(""), "a quarter of the parts lay above"]
    jobs: Annotated[int, "certified jobs that it rests on"]
    parts: Annotated[int, "parts that it rests on"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice(Sourced):
    """A practice profile: the whole of what a firm works by, in force from a day."""

    code: Annotated[str, "code of the profile"]
    name: Annotated[str, "name of the profile"]
    market: Annotated[Market, "whose units and rules of disclosure it follows"]
    bands: Annotated[tuple[DensityBand, ...], "bands of density"]
    sampling: Annotated[Sampling, "how much is sampled"]
    decision: Annotated[Decision, "the decision rules"]
    rates: Annotated[Rates, "what work takes"]
    patching: Annotated[Patching, "how holes are closed"]
    hold_points: Annotated[tuple[HoldPointRule, ...], "what must be answered"]
    uncertainties: Annotated[Uncertainties, "how well things are measured"] = ESTIMATES
    bulges: Annotated[tuple[Bulge, ...], "how far facings bulge"] = ()
    waste_percent: Annotated[Percent, "material that is ordered beyond what is blown"] = 0.0
    usual: Annotated[tuple[UsualFraming, ...], "how buildings usually are, for estimates"] = ()
    experience: Annotated[tuple[Experience, ...], "what parts took of what was planned, as adopted"] = ()
    marker_area_m2: Annotated[SquareMetres, "one depth marker for so much of an open blow"] = 28.0
    lance_use: Annotated[LanceUse, "what working with a lance allows for"] = LanceUse(
        source="common practice, from memory",
        standing=Standing.COMMON_PRACTICE,
        held_mm=300.0,
        slit_mm=200.0,
        least_reach_mm=500.0,
    )
