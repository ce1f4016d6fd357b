"""How many kilograms go into each compartment: what a crew weighs out or counts against."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from service.engine.geometry.compartments import Compartment
from service.engine.ground.quick import maker, quick
from service.engine.ground.shapes import CubicMetres, Kilograms
from service.engine.plan.quantities import bulge_volume_m3, dense_mass_kg, expected_bulge_mm
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Practice


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """The kilograms planned for a compartment; those of one bay of a shared one are nobody's to say."""

    label: Annotated[str, "label of the compartment"]
    bays: Annotated[tuple[int, ...], "its bays"]
    net_volume_m3: Annotated[CubicMetres, "its net volume"]
    bulge_volume_m3: Annotated[CubicMetres, "what the expected bulge of the facing adds"]
    mass_kg: Annotated[Kilograms, "mass that fills both to the target"]


_load = maker(Load)


def loads(
    *,
    cavity: Cavity,
    compartments: tuple[Compartment, ...],
    facing_m2: Mapping[int, float],
    target_kg_m3: float,
    practice: Practice,
) -> tuple[Load, ...]:
    """The load of each compartment of one of the identical cavities of a dense fill.

    `facing_m2` is the area of the facing that is expected to bulge, by bay.
    """
    if not facing_m2:
        return tuple([_planned(each, 0.0, target_kg_m3) for each in compartments])
    bulge_mm, held_m3 = expected_bulge_mm(facing=cavity.facing, practice=practice), _held_m3(compartments)
    bulge_m3 = {bay: bulge_volume_m3(bulge_mm=bulge_mm, facing_m2=facing_m2.get(bay, 0.0)) for bay in held_m3}
    return tuple([_planned(each, _bulge_m3(each, held_m3, bulge_m3), target_kg_m3) for each in compartments])


def _held_m3(compartments: tuple[Compartment, ...]) -> dict[int, float]:
    """What the compartments of each bay hold together."""
    held: dict[int, float] = {}
    for each in compartments:
        for bay in each.bays:
            held[bay] = held.get(bay, 0.0) + each.net_volume_m3
    return held


def _bulge_m3(space: Compartment, held_m3: dict[int, float], bulge_m3: dict[int, float]) -> float:
    """The bulge over its bays; where several compartments lie in a bay, by their volumes."""
    return sum([bulge_m3[bay] * space.net_volume_m3 / held_m3[bay] for bay in space.bays])


def _planned(space: Compartment, bulge_m3: float, target_kg_m3: float) -> Load:
    return _load(
        label=space.label,
        bays=space.bays,
        net_volume_m3=space.net_volume_m3,
        bulge_volume_m3=bulge_m3,
        mass_kg=dense_mass_kg(target_kg_m3=target_kg_m3, filled_m3=space.net_volume_m3 + bulge_m3),
    )
