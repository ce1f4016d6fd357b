"""A part of a building that nobody has surveyed yet, as cavities of the firm's usual sizes."""

from dataclasses import replace

from service.engine.ground.vocabulary import Surveyed
from service.engine.survey.cavity import Cavity, Framing, Layer, Opening
from service.engine.survey.usual import Case, UsualFraming, UsualLayer, UsualMembers


def cavity_of(
    *,
    label: str,
    area_m2: float,
    depth_mm: float,
    framing: UsualFraming,
    case: Case,
    label_r: float | None = None,
) -> Cavity:
    """As many identical cavities, of about the usual width, as have this area less their openings.

    They are `estimated`, so that nobody offers them before they are surveyed.
    """
    openings_m2 = area_m2 * case.openings_percent / (100 - case.openings_percent)
    width_m = (area_m2 + openings_m2) / case.span_m
    count = max(1, round(width_m / framing.width_m))
    return Cavity(
        label=label,
        element=framing.element,
        surveyed=Surveyed.ESTIMATED,
        width_m=width_m / count,
        span_m=case.span_m,
        count=count,
        layers=tuple(_layer(layer, framing, depth_mm, case) for layer in framing.layers),
        facing=framing.facing,
        openings=_openings(framing, openings_m2 / count, width_m / count),
        pitch_deg=framing.pitch_deg,
        label_r=label_r,
    )


def _layer(layer: UsualLayer, framing: UsualFraming, depth_mm: float, case: Case) -> Layer:
    members = layer.members
    return Layer(
        depth_mm=layer.depth_mm or depth_mm - framing.fixed_mm,
        framing=_timber(members, case.spacing_mm) if members else None,
    )


def _timber(members: UsualMembers, spacing_mm: float) -> Framing:
    return Framing(
        member_mm=members.member_mm,
        spacing_mm=spacing_mm,
        plates_mm=members.plates_mm,
        blocking_rows=members.blocking_rows,
        blocking_mm=members.blocking_mm,
        runs=members.runs,
        conductivity_w_mk=members.conductivity_w_mk,
    )


def _openings(framing: UsualFraming, openings_m2: float, width_m: float) -> tuple[Opening, ...]:
    """So many usual openings, evenly spread, that their area is right: they are as wide as it takes."""
    usual = framing.opening
    if usual is None or openings_m2 <= 0:
        return ()
    count = max(1, round(openings_m2 / usual.area_m2))
    wide_m = openings_m2 / (count * usual.height_m)
    middles = ((place + 0.5) * width_m / count for place in range(count))
    return tuple(replace(usual, width_m=wide_m, left_m=middle - wide_m / 2) for middle in middles)
