"""Thermal resistance and transmittance of a filled cavity with all its layers.

The combined method of ISO 6946: the true resistance lies between two limits, and the
method takes their mean. Where the limits lie too far apart it gives no answer, and
neither does this module.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from service.engine.geometry.geometry import Geometry
from service.engine.ground.formula import Formula, Provenance, Rule
from service.engine.ground.messages import Message, message
from service.engine.ground.quick import maker, quick
from service.engine.ground.shapes import Percent, Resistance, Transmittance, Unit
from service.engine.ground.vocabulary import Element, Runs, Standing
from service.engine.ground.working import Working
from service.engine.heat.buildup import Flank, Flanks, flanks, ventilated
from service.engine.heat.corrections import correction_w_m2k
from service.engine.heat.courses import Course, courses
from service.engine.heat.paths import Leaf, Path, lower_limit, upper_limit, whole_paths
from service.engine.heat.surfaces import Surfaces, surfaces
from service.engine.survey.cavity import Cavity, Layer

COMBINED = Formula(
    code="u_value",
    expression="u_value_w_m2k = 2/(r_upper + r_lower) + correction_w_m2k; r_total = 1/u_value_w_m2k",
    source="ISO 6946, as set out in the Scottish building standards' worked examples 6.B",
    standing=Standing.PUBLISHED,
)

ERROR = Formula(
    code="u_value_error",
    expression=(
        "error_percent = 100 x (r_upper - r_lower)/(r_upper + r_lower); ratio = r_upper/r_lower; "
        "the method holds up to a ratio of 1.5"
    ),
    source="ISO 6946",
    standing=Standing.FROM_MEMORY,
)

FILL = Formula(
    code="fill_resistance",
    expression="depth_mm/1000/conductivity_w_mk",
    source="ISO 6946: thickness over conductivity",
    standing=Standing.PUBLISHED,
)

LABEL = Formula(
    code="label_resistance",
    expression="label_r x 0.176110",
    source="16 CFR 460.17: the maker's R-value for the whole thickness, never R per inch times inches",
    standing=Standing.PUBLISHED,
)

FORMULAS = (COMBINED, ERROR, FILL, LABEL)

BY_CONDUCTIVITY, BY_LABEL, COMBINED_METHOD = FILL.stated(), LABEL.stated(), COMBINED.provenance

LARGEST_RATIO = 1.5
M2K_W_PER_LABEL_R = 0.176110
"""1 ft2 h F/Btu in m2K/W (derived from the foot, the hour and the international Btu)."""


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """A cavity as heat meets it: its leaves, its fill without timber and all else, in m2K/W.

    `bridged` are layers beside it with battens in them; they are not among the `others`, but
    `beside` is all but the fill, without timber. `flanks` are the layers beside it.
    """

    leaves: tuple[Leaf, ...]
    bridged: tuple[Leaf, ...]
    paths: tuple[Path, ...]
    r_fill: float
    faces: Surfaces
    others: float
    beside: float
    flanks: Flanks


_stack = maker(Stack)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Thermal:
    """Resistances in m2K/W and the U-value in W/(m2K), unrounded.

    `r_fill` is the fill alone, from face to face, without timber: by the printed `label_r`
    (ft2 h F/Btu), or where that is None by its conductivity; `r_fill_by` says so. `r_total` belongs to
    the U-value with its correction; `courses` add up to it without. Where the ratio of the limits
    is beyond the method, `r_total`, `u_value_w_m2k` and `error_percent` are None, there are no
    courses, and a note says so.
    """

    u_value_w_m2k: Annotated[
        Transmittance | None, "thermal transmittance with its correction; null beyond the method's range"
    ]
    r_total: Annotated[Resistance | None, "resistance from air to air that belongs to the U-value"]
    r_upper: Annotated[Resistance, "upper limit of the resistance: paths side by side"]
    r_lower: Annotated[Resistance, "lower limit of the resistance: layers one behind another"]
    r_fill: Annotated[Resistance, "the fill alone from face to face, without timber"]
    label_r: Annotated[
        float | None, Unit("ft2 h F/Btu"), "the fill's R as the maker's chart prints it, else null"
    ]
    r_fill_by: Annotated[Rule, "how the fill's resistance is known: by the chart or by its conductivity"]
    ratio: Annotated[float, Unit(""), "upper limit over lower limit"]
    error_percent: Annotated[Percent | None, "largest error of the method: it takes the mean of the limits"]
    rsi: Annotated[Resistance, "resistance of the inside surface"]
    rse: Annotated[Resistance, "resistance of the outside surface"]
    correction_w_m2k: Annotated[Transmittance, "what air gaps and fasteners add to the transmittance"]
    courses: Annotated[
        tuple[Course, ...], "from the outside in; they add up to r_total without the correction"
    ]
    notes: Annotated[tuple[Message, ...], "what the reader must know of these figures"]
    provenance: Annotated[Provenance, "where the U-value comes from"]


_thermal = maker(Thermal)


def thermal(
    *,
    cavity: Cavity,
    geometry: Geometry,
    conductivity_w_mk: float,
    label_r: float | None = None,
    working: Working | None = None,
) -> Thermal:
    """The cavity's U-value with all its layers (COMBINED, ERROR; corrections in `corrections`).

    `conductivity_w_mk` is the fill's design value; `label_r` (ft2 h F/Btu, a row of the
    maker's chart) takes its place for the fill as a whole (LABEL). `cavity` is one that
    `geometry` accepts. Raises InvalidInput at the fields of a layer beside it that lacks a
    resistance or has two, at `/air_gap_level` or in `/fasteners`.
    """
    met = stack(cavity=cavity, geometry=geometry, conductivity_w_mk=conductivity_w_mk, label_r=label_r)
    if working:
        working.keep(met)
    upper = upper_limit(paths=met.paths, others=met.others)
    lower = lower_limit(leaves=met.leaves + met.bridged, others=met.others)
    holds = upper / lower <= LARGEST_RATIO
    plain_u = 2 / (upper + lower)
    correction = correction_w_m2k(cavity=cavity, r_fill=met.r_fill, others=met.beside, plain_u=plain_u)
    return _thermal(
        u_value_w_m2k=plain_u + correction if holds else None,
        r_total=1 / (plain_u + correction) if holds else None,
        r_upper=upper,
        r_lower=lower,
        r_fill=met.r_fill,
        label_r=label_r,
        r_fill_by=BY_CONDUCTIVITY if label_r is None else BY_LABEL,
        ratio=upper / lower,
        error_percent=100 * (upper - lower) / (upper + lower) if holds else None,
        rsi=met.faces.rsi,
        rse=met.faces.rse,
        correction_w_m2k=correction if holds else 0.0,
        courses=courses(flanks=met.flanks, faces=met.faces, whole_m2k_w=1 / plain_u) if holds else (),
        notes=tuple(_notes(cavity, label_r, upper / lower)),
        provenance=COMBINED_METHOD,
    )


def stack(
    *, cavity: Cavity, geometry: Geometry, conductivity_w_mk: float, label_r: float | None = None
) -> Stack:
    """What `thermal` reckons with (FILL or LABEL for the fill); raises InvalidInput as it does."""
    around = flanks(cavity=cavity)
    faces = surfaces(element=cavity.element, pitch_deg=cavity.pitch_deg, sheltered=ventilated(cavity=cavity))
    r_fill = _fill(cavity, conductivity_w_mk, label_r)
    leaves = _leaves(cavity, geometry, cavity.depth_mm / 1000 / r_fill)
    bridged, plain = _bridged(around.outside + around.inside)
    others = faces.rsi + faces.rse + plain
    return _stack(
        leaves=leaves,
        bridged=bridged,
        paths=whole_paths(leaves=leaves, aligned=cavity.leaves_aligned, bridged=bridged),
        r_fill=r_fill,
        faces=faces,
        others=others,
        beside=others + sum([leaf.fill for leaf in bridged]),
        flanks=around,
    )


def _bridged(layers: tuple[Flank, ...]) -> tuple[tuple[Leaf, ...], float]:
    """The layers beside the cavity with battens in them, and the sum of all others, in m2K/W."""
    bridged = [
        Leaf(fill, timber, layer.timber_fraction or 0.0, Runs.ALONG)
        for layer, fill, timber, _ in layers
        if timber is not None
    ]
    return tuple(bridged), sum([each.between for each in layers if each.battens is None])


def _fill(cavity: Cavity, conductivity_w_mk: float, label_r: float | None) -> float:
    if label_r is not None:
        return label_r * M2K_W_PER_LABEL_R
    return cavity.depth_mm / 1000 / conductivity_w_mk


def _leaves(cavity: Cavity, geometry: Geometry, conductivity_w_mk: float) -> tuple[Leaf, ...]:
    return tuple(
        [
            _leaf(layer, measured.timber_fraction, conductivity_w_mk)
            for layer, measured in zip(cavity.layers, geometry.layers, strict=True)
        ]
    )


def _leaf(layer: Layer, timber_fraction: float, conductivity_w_mk: float) -> Leaf:
    depth_m = layer.depth_mm / 1000
    timber_w_mk = layer.framing.conductivity_w_mk if layer.framing else conductivity_w_mk
    return Leaf(
        fill=depth_m / conductivity_w_mk,
        timber=depth_m / timber_w_mk,
        timber_fraction=timber_fraction,
        runs=layer.framing.runs if layer.framing else Runs.ALONG,
    )


def _notes(cavity: Cavity, label_r: float | None, ratio: float) -> Iterator[Message]:
    if ratio > LARGEST_RATIO:
        yield message("heat.no_u_value", ratio=round(ratio, 2), most=LARGEST_RATIO)
    if not cavity.inside and not cavity.outside:
        yield message("heat.no_other_layers")
    if ventilated(cavity=cavity):
        yield message("heat.ventilated_layer")
    if cavity.element is Element.ROOF_SLOPE and cavity.pitch_deg is None:
        yield message("heat.pitch_unknown")
    if label_r is not None:
        yield message("heat.resistance_by_label", label_r=label_r)
