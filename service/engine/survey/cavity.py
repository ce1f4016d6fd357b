"""A cavity as it was surveyed: one element of the envelope that is filled.

Plain data. What it means is computed elsewhere; whether it can be is said by
`geometry`. All sizes are what a person measures: millimetres for timber and
depth, metres for the element.
"""

from dataclasses import dataclass

from service.engine.ground.vocabulary import Element, Facing, Fill, Runs, Surveyed


@dataclass(frozen=True, slots=True, kw_only=True)
class Framing:
    """Timber that stands in a layer.

    Either members (`member_mm` breadth at `spacing_mm` centre to centre, both
    given) or a measured or assumed `timber_fraction` (0 to 1) with its standard
    uncertainty `timber_fraction_u`. `plates_mm` is the timber at the two ends of
    the members, added up; `blocking_rows` rows of `blocking_mm` stand across them.
    `conductivity_w_mk` defaults to softwood of 500 kg/m3 (EN 12524).
    """

    member_mm: float | None = None
    spacing_mm: float | None = None
    conductivity_w_mk: float = 0.13
    runs: Runs = Runs.ALONG
    plates_mm: float = 0.0
    blocking_rows: int = 0
    blocking_mm: float = 0.0
    timber_fraction: float | None = None
    timber_fraction_u: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer of the cavity's depth, framed or open."""

    depth_mm: float
    framing: Framing | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A window, door or hatch: no fill in it, `trim_mm` of timber round it.

    `left_m` and `sill_m` place one opening (`count` 1) from the cavity's lower
    left corner; without them it is counted but not placed.
    """

    width_m: float
    height_m: float
    count: int = 1
    trim_mm: float = 0.0
    left_m: float | None = None
    sill_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildUpLayer:
    """A layer beside the cavity, for heat and vapour.

    `thickness_mm` with `conductivity_w_mk`, or `resistance_m2k_w`; for moisture
    `mu` (needs the thickness) or `sd_m`. `ventilated` marks a well-ventilated air
    layer: heat and vapour are reckoned from there inwards, so it needs no figures.
    """

    name: str
    thickness_mm: float | None = None
    conductivity_w_mk: float | None = None
    resistance_m2k_w: float | None = None
    mu: float | None = None
    sd_m: float | None = None
    ventilated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Fasteners:
    """Metal fasteners right through the fill: `area_mm2` the cross-section of one, `per_m2` their number."""

    conductivity_w_mk: float
    area_mm2: float
    per_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cavity:
    """One cavity, or `count` identical ones.

    `width_m` lies across the framing members, `span_m` along them. `layers` run
    from the outside in; for an open blow their depths add up to the settled
    thickness. `inside` and `outside` also run from the outside in.
    `target_kg_m3` is a density chosen by the planner within the window.
    `label_r` picks the row of the material's chart on a `us` open blow.
    `air_gap_level` is ISO 6946's (0, 1 or 2); blown fill that fills its cavity has 0.
    """

    label: str
    element: Element
    width_m: float
    span_m: float
    layers: tuple[Layer, ...]
    facing: Facing
    fill: Fill | None = None
    count: int = 1
    pitch_deg: float | None = None
    surveyed: Surveyed = Surveyed.DRAWN
    dividers: bool = False
    leaves_aligned: bool = True
    openings: tuple[Opening, ...] = ()
    displaced_m3: float = 0.0
    inside: tuple[BuildUpLayer, ...] = ()
    outside: tuple[BuildUpLayer, ...] = ()
    target_kg_m3: float | None = None
    label_r: float | None = None
    air_gap_level: int = 0
    fasteners: Fasteners | None = None

    @property
    def lies(self) -> Fill:
        """How the fill lies: as stated, else open in an attic and dense elsewhere."""
        return self.fill or (Fill.OPEN if self.element is Element.ATTIC else Fill.DENSE)

    @property
    def unplaced(self) -> bool:
        """Whether any opening is counted but not placed."""
        return any(opening.left_m is None for opening in self.openings)

    @property
    def depth_mm(self) -> float:
        """Depth of all layers together, in millimetres."""
        return sum(layer.depth_mm for layer in self.layers)
