"""What a contractor works by: materials, lances and the practice profile.

Plain data, all of it the contractor's to configure. Nothing here is a default
of the engine: every figure is a row with a source and a standing.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from service.engine.ground.vocabulary import Element, Facing, Fill, Market, Method, Stage, Standing
from service.engine.survey.sourced import Sourced
from service.engine.survey.uncertainties import ESTIMATES, Uncertainties

# What a firm says in its own words, by the language's code.
Texts = Mapping[str, str]

# A guard band of 1.645 u: 95 % of a normal distribution lie on one side (JCGM 106, 8.3.2).
LEAST_GUARD_FACTOR = 1.645


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetDensity:
    """What a data sheet says of the density in one element, in kg/m3; not every sheet names a target."""

    element: Element
    lowest_kg_m3: float
    highest_kg_m3: float
    target_kg_m3: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    """The highest loading (REACH Annex XVII entry 65): up to this depth, at most this density."""

    depth_mm: float
    density_kg_m3: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartRow:
    """A row of the label chart for open blow (subjects of 16 CFR 460.12(b)(2), SI units).

    `label_r` is the printed US R-value (ft2 h F/Btu); `bags_per_100_m2` and
    `lowest_kg_m2` are at the minimum settled thickness.
    """

    label_r: float
    initial_mm: float
    settled_mm: float
    bags_per_100_m2: float
    lowest_kg_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedRow:
    """A row of the maker's chart for closed cavities: what a cavity `depth_mm` deep has when it is full.

    `label_r` is the printed US R-value (ft2 h F/Btu) of the whole depth; it holds for
    densities from `lowest_kg_m3` to `highest_kg_m3`.
    """

    depth_mm: float
    label_r: float
    lowest_kg_m3: float
    highest_kg_m3: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Material(Sourced):
    """A loose-fill material by its data sheet.

    `conductivity_w_mk` is declared for densities between
    `conductivity_lowest_kg_m3` and `conductivity_highest_kg_m3`. Open blow needs
    `settled_kg_m3` and `settlement_percent`. `bag_kg` is the label's minimum net
    weight. `chart` is for open blow, `closed_chart` for closed cavities.
    """

    code: str
    name: str
    maker: str
    sheet: str
    conductivity_w_mk: float
    conductivity_lowest_kg_m3: float
    conductivity_highest_kg_m3: float
    densities: tuple[SheetDensity, ...]
    bag_kg: float
    settled_kg_m3: float | None = None
    settlement_percent: float | None = None
    settlement_class: str | None = None
    loadings: tuple[Loading, ...] = ()
    chart: tuple[ChartRow, ...] = ()
    closed_chart: tuple[ClosedRow, ...] = ()
    mu: float | None = None
    hazards: tuple[Texts, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Lance:
    """A steel tube for the end of the hose: `curve_deg` is 0 for a straight one."""

    code: str
    length_mm: float
    diameter_mm: float
    curve_deg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DensityBand(Sourced):
    """A band of practice, in kg/m3, for cavities within these limits.

    A limit that is None does not bind; `over` is exclusive, `up_to` inclusive.
    """

    element: Element
    lowest_kg_m3: float
    highest_kg_m3: float | None = None
    target_kg_m3: float | None = None
    depth_over_mm: float | None = None
    depth_up_to_mm: float | None = None
    span_over_m: float | None = None
    span_up_to_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampling(Sourced):
    """How many bays of a shared compartment are sampled, with what, and how many depths of an open blow.

    `core_diameter_mm` is the inside of the firm's core cutter; None where it has none,
    and cuts blocks.
    """

    one_in_bays: int
    at_least: int
    last_bay: bool
    at_least_depths: int = 6
    core_diameter_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision(Sourced):
    """The decision rules: probabilities at which a verdict turns (JCGM 106), and what the firm works by.

    An open blow is planned above the least by `guard_factor` standard uncertainties.
    `non_settling_binds`: no target lies below the density found not to settle.
    `contradiction_decides`: mass balance and samples of one compartment that lie further
    apart than their expanded uncertainties contradict each other (the normalised error).
    """

    conforming_from: float
    non_conforming_to: float
    guard_factor: float = LEAST_GUARD_FACTOR
    non_settling_binds: bool = False
    contradiction_decides: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodRates(Sourced):
    """What one way of filling takes.

    `kg_h` while blowing; `hole_mm` the hole's breadth and height (0: no hole);
    `reach_m` how far material travels from the mouth of a plain hose (None: any);
    `per_bay_h` extra hours a bay (placing hoses, fixing strips);
    `strip_per_m` metres of dividing strip a metre of member (divided bays only).
    """

    method: Method
    kg_h: float
    hole_mm: float
    reach_m: float | None = None
    per_bay_h: float = 0.0
    strip_per_m: float = 0.0
    settings: Texts = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates(Sourced):
    """Hours of a crew, apart from blowing.

    `hose_mm` is the firm's thinnest hose from outside; unsaid, it is as thick as the
    smallest hole that a hose is put through.
    """

    set_up_h: float
    hole_h: float
    patch_h: float
    move_h: float
    cleaning_h: float
    sample_h: float
    crew: int
    methods: tuple[MethodRates, ...]
    hose_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Patching(Sourced):
    """How holes are closed: `past_hole_mm` beyond the hole all round, from a roll `roll_mm` wide.

    A patch wider than the roll is made of strips side by side that lap by `lap_mm`
    (common practice, from memory: 50 to 60 mm).
    """

    past_hole_mm: float
    roll_mm: float
    lap_mm: float = 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LanceUse(Sourced):
    """What working with a lance allows for.

    `held_mm` of its length stays outside, in the hand and at the hose's coupling;
    `slit_mm` is the height of the slit in a facing that can be slit (membrane or
    netting), the slit's breadth is the method's `hole_mm`; a lance whose reach is
    under `least_reach_mm` is of no use where one hole a part does not do.
    """

    held_mm: float
    slit_mm: float
    least_reach_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bulge(Sourced):
    """How far a facing is expected to bulge between its battens, at mid-bay."""

    facing: Facing
    bulge_mm: float


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

    code: str
    stage: Stage
    text: Texts
    per_cavity: bool = False
    elements: tuple[Element, ...] = ()
    fills: tuple[Fill, ...] = ()
    facings: tuple[Facing, ...] = ()
    markets: tuple[Market, ...] = ()
    built_before: int | None = None
    safety: bool = True
    single: bool = False
    reading: Reading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice(Sourced):
    """A practice profile: the whole of what a firm works by, in force from a day."""

    code: str
    name: str
    market: Market
    bands: tuple[DensityBand, ...]
    sampling: Sampling
    decision: Decision
    rates: Rates
    patching: Patching
    hold_points: tuple[HoldPointRule, ...]
    uncertainties: Uncertainties = ESTIMATES
    bulges: tuple[Bulge, ...] = ()
    waste_percent: float = 0.0
    marker_area_m2: float = 28.0
    lance_use: LanceUse = LanceUse(
        source="common practice, from memory",
        standing=Standing.COMMON_PRACTICE,
        held_mm=300.0,
        slit_mm=200.0,
        least_reach_mm=500.0,
    )
