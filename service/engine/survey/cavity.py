"""A cavity as it was surveyed: one element of the envelope that is filled.

Plain data. What it means is computed elsewhere; whether it can be is said by
`geometry`. All sizes are what a person measures: millimetres for timber and
depth, metres for the element.
"""

from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.quick import quick
from service.engine.ground.shapes import CubicMetres, Metres, Millimetres, Unit
from service.engine.ground.vocabulary import Element, Facing, Fill, Runs, Surveyed

Conductivity = Annotated[float, Unit("W/mK")]


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Framing:
    """Timber that stands in a layer.

    Either members of breadth `member_mm`, or a measured or assumed `timber_fraction`
    (0 to 1) with its standard uncertainty `timber_fraction_u`. Members stand at
    `spacing_mm` centre to centre, one at each edge; where they were counted, `members`
    says how many (evenly spread, those at both edges included), or `members_at_m` where
    the left edge of each stands, the lower one where they run across; either takes the
    place of the spacing. `plates_mm` is the timber at the two ends of the members, added
    up; `blocking_rows` rows of `blocking_mm` stand across them. `conductivity_w_mk`
    defaults to softwood of 500 kg/m3 (EN 12524).
    """

    member_mm: Annotated[Millimetres | None, "breadth of a member"] = None
    spacing_mm: Annotated[Millimetres | None, "members, centre to centre"] = None
    conductivity_w_mk: Annotated[Conductivity, "conductivity of the timber"] = 0.13
    runs: Annotated[Runs, "whether the members run along the span or across it"] = Runs.ALONG
    plates_mm: Annotated[Millimetres, "timber at the two ends of the members, added up, half at each end"] = (
        0.0
    )
    blocking_rows: Annotated[int, Unit(""), "rows of blocking between the members"] = 0
    blocking_mm: Annotated[Millimetres, "thickness of a row of blocking, measured along the members"] = 0.0
    timber_fraction: Annotated[
        float | None, Unit(""), "timber as a share of the area less openings, in place of members"
    ] = None
    timber_fraction_u: Annotated[float | None, Unit(""), "standard uncertainty of the timber fraction"] = None
    members: Annotated[
        int | None, Unit(""), "members as counted, those at both edges included, evenly spread"
    ] = None
    members_at_m: Annotated[
        tuple[float, ...] | None,
        Unit("m"),
        "left edge of each member as measured from the left, or lower edge from the bottom; doubled studs "
        "and posts too",
    ] = None

    @property
    def is_counted(self) -> bool:
        """Whether the surveyor counted the members, or measured where each stands."""
        return self.members is not None or self.members_at_m is not None


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer of the cavity's depth, framed or open."""

    depth_mm: Annotated[Millimetres, "depth of the layer"]
    framing: Annotated[Framing | None, "timber that stands in it; none in an open layer"] = None


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A window, door or hatch: no fill in it, `trim_mm` of timber round it in framed layers.

    `left_m` and `sill_m` place one opening (`count` 1) from the cavity's lower left
    corner; without `left_m` it is counted but not placed, and `sill_m` says how high it
    sits. `reveal_mm` is the thickness of the boards of a box that closes the open layers
    round it.
    """

    width_m: Annotated[Metres, "width of the opening"]
    height_m: Annotated[Metres, "height of the opening"]
    count: Annotated[int, Unit(""), "openings of this kind; one where it has a place"] = 1
    trim_mm: Annotated[Millimetres, "timber round the opening in framed layers"] = 0.0
    left_m: Annotated[Metres | None, "from the cavity's left edge, where the place is known"] = None
    sill_m: Annotated[Metres | None, "from the cavity's lower edge"] = None
    reveal_mm: Annotated[Millimetres, "boards of a box that closes open layers round the opening"] = 0.0

    @property
    def is_placed(self) -> bool:
        """Whether it is known where it sits."""
        return self.left_m is not None and self.sill_m is not None

    @property
    def area_m2(self) -> float:
        """Area of all `count` of them, in m2."""
        return self.count * self.width_m * self.height_m


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Displaced:
    """What takes room from the fill: pipes, ducts, boxes, fill that is there already and stays.

    `volume_m3` within `u_m3` either way (a half-width; None: the firm's share of it), in
    each of the identical cavities; `bay` where it is known in which one it lies.
    """

    volume_m3: Annotated[CubicMetres, "room that is taken in each of the identical cavities"]
    u_m3: Annotated[
        CubicMetres | None, "half-width of the volume; a share of it by the firm's profile where not given"
    ] = None
    bay: Annotated[int | None, Unit(""), "the bay it lies in, from 1, where that is known"] = None


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class BuildUpLayer:
    """A layer beside the cavity, for heat and vapour.

    `thickness_mm` with `conductivity_w_mk`, or `resistance_m2k_w`; for moisture
    `mu` (needs the thickness) or `sd_m`. `ventilated` marks a well-ventilated air
    layer: heat and vapour are reckoned from there inwards, so it needs no figures.
    `timber_fraction` (0 to 1) is the share of battens in a layer that is bridged by them,
    `timber_conductivity_w_mk` theirs (softwood where it is not given).
    """

    name: Annotated[str, "what it is called on papers"]
    thickness_mm: Annotated[Millimetres | None, "thickness of the layer"] = None
    conductivity_w_mk: Annotated[Conductivity | None, "conductivity of what lies between battens"] = None
    resistance_m2k_w: Annotated[
        float | None, Unit("m2K/W"), "thermal resistance, in place of thickness and conductivity"
    ] = None
    mu: Annotated[float | None, Unit(""), "water vapour resistance factor"] = None
    sd_m: Annotated[Metres | None, "vapour resistance as metres of still air, in place of mu"] = None
    ventilated: Annotated[bool, "a well-ventilated air layer: nothing outside of it counts"] = False
    timber_fraction: Annotated[float | None, Unit(""), "battens as a share of the layer's area"] = None
    timber_conductivity_w_mk: Annotated[
        Conductivity | None, "conductivity of the battens; softwood where not given"
    ] = None


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Fasteners:
    """Metal fasteners right through the fill: `area_mm2` the cross-section of one, `per_m2` their number."""

    conductivity_w_mk: Annotated[Conductivity, "conductivity of the metal"]
    area_mm2: Annotated[float, Unit("mm2"), "cross-section of one fastener"]
    per_m2: Annotated[float, Unit("1/m2"), "fasteners to a square metre"]


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Cavity:
    """One cavity, or `count` identical ones.

    `place` tells in words where it is, for whoever looks for it years later.

    `width_m` lies across the framing members, `span_m` along them. `profile_m` is the
    upper edge where it is no straight line across: points of x and height from left to
    right. `surveyed` says how the sizes came about. `layers` run from the outside in;
    for an open blow their depths add up to the settled thickness. `openings` and
    `displaced` are those of each one. `inside` and `outside` also run from the outside in.
    `target_kg_m3` is a density chosen by the planner within the window. `label_r` picks the
    row of the material's chart on a `us` open blow. `air_gap_level` is ISO 6946's (0, 1 or
    2); blown fill that fills its cavity has 0.
    """

    label: Annotated[str, "its name in the building, printed everywhere"]
    element: Annotated[Element, "the part of the envelope that it is"]
    width_m: Annotated[Metres, "size across the members"]
    span_m: Annotated[Metres, "size along the members: a wall's height, a joist's span, a rafter's length"]
    layers: Annotated[tuple[Layer, ...], "the depth of the cavity, from the outside in"]
    facing: Annotated[Facing, "the side that the fill goes through"]
    fill: Annotated[Fill | None, "blown tight or loose; an attic is blown loose where it is not said"] = None
    place: Annotated[str | None, "where in the building it is, as the surveyor says it"] = None
    count: Annotated[int, Unit(""), "identical cavities; each is filled and judged by itself"] = 1
    pitch_deg: Annotated[float | None, Unit("deg"), "pitch of a roof slope"] = None
    surveyed: Annotated[Surveyed, "how the sizes came about: they err accordingly"] = Surveyed.DRAWN
    profile_m: Annotated[
        tuple[tuple[float, float], ...],
        Unit("m"),
        "the upper edge where it is no straight line: points of x and height, from left to right",
    ] = ()
    dividers: Annotated[bool, "strips of membrane close the open layer at each member"] = False
    leaves_aligned: Annotated[bool, "members of the framed layers stand opposite one another"] = True
    openings: Annotated[tuple[Opening, ...], "windows, doors and hatches of each cavity"] = ()
    displaced: Annotated[tuple[Displaced, ...], "what takes room from the fill in each cavity"] = ()
    inside: Annotated[tuple[BuildUpLayer, ...], "layers inside the cavity, from the outside in"] = ()
    outside: Annotated[tuple[BuildUpLayer, ...], "layers outside the cavity, from the outside in"] = ()
    target_kg_m3: Annotated[float | None, Unit("kg/m3"), "density chosen by the planner"] = None
    label_r: Annotated[float | None, Unit("ft2 h F/Btu"), "row of the label chart for an open blow"] = None
    air_gap_level: Annotated[int, Unit(""), "level of the correction for air gaps (ISO 6946)"] = 0
    fasteners: Annotated[Fasteners | None, "metal fasteners right through the fill"] = None

    @property
    def lies(self) -> Fill:
        """How the fill lies: as stated, else open in an attic and dense elsewhere."""
        return self.fill or (Fill.OPEN if self.element is Element.ATTIC else Fill.DENSE)

    @property
    def unplaced(self) -> bool:
        """Whether any opening is counted but not placed."""
        return any(not opening.is_placed for opening in self.openings)

    @property
    def openings_m2(self) -> float:
        """Area of all openings, in m2."""
        return sum([opening.area_m2 for opening in self.openings])

    @property
    def displaced_m3(self) -> float:
        """Volume of all that takes room from the fill, in m3."""
        return sum([each.volume_m3 for each in self.displaced])

    @property
    def depth_mm(self) -> float:
        """Depth of all layers together, in millimetres."""
        return sum([layer.depth_mm for layer in self.layers])
