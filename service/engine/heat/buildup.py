"""The layers beside the cavity that heat and vapour pass."""

from collections.abc import Callable
from dataclasses import dataclass

from service.engine.ground.messages import Value, message
from service.engine.survey.cavity import BuildUpLayer, Cavity
from service.engine.survey.limits import CONDUCTIVITY_W_MK, RESISTANCE_M2K_W, SD_M, THICKNESS_MM
from service.errors import Fault, InvalidInput

SOFTWOOD_W_MK = 0.13  # softwood of 500 kg/m3 (EN 12524)


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """A layer beside the cavity that counts, and the pointer to where it was given."""

    pointer: str
    layer: BuildUpLayer


def beside(*, cavity: Cavity) -> tuple[tuple[Beside, ...], tuple[Beside, ...]]:
    """Layers outside and inside the cavity, each from the outside in.

    A well-ventilated layer and all that lies outside it do not count (ISO 6946).
    Raises InvalidInput at `/inside/N/ventilated`: such a layer lies outside only.
    """
    outside = _located("/outside", cavity.outside)
    inside = _located("/inside", cavity.inside)
    faults = tuple(
        Fault(f"{each.pointer}/ventilated", message("heat.ventilated_inside"))
        for each in inside
        if each.layer.ventilated
    )
    if faults:
        raise InvalidInput(*faults)
    counts_from = max((number for number, each in enumerate(outside, 1) if each.layer.ventilated), default=0)
    return outside[counts_from:], inside


def ventilated(*, cavity: Cavity) -> bool:
    """Whether a well-ventilated layer lies outside the cavity."""
    return any(layer.ventilated for layer in cavity.outside)


def resistances_m2k_w(*, layers: tuple[Beside, ...]) -> tuple[float, ...]:
    """Thermal resistance of each layer in m2K/W, between battens where it has any; none may be missing.

    Raises InvalidInput at the layer's `resistance_m2k_w`, `conductivity_w_mk` or
    `thickness_mm`.
    """
    return _all(layers, _resistance)


def battens_m2k_w(*, layers: tuple[Beside, ...]) -> tuple[float | None, ...]:
    """Thermal resistance of the battens in each layer in m2K/W; None of a layer without any.

    Raises InvalidInput at the layer's `timber_fraction`, `timber_conductivity_w_mk` or
    `thickness_mm`.
    """
    return tuple(battens or None for battens in _all(layers, _battens))


def _battens(each: Beside) -> float | Fault:
    """Their resistance; nothing where there are none."""
    layer, share = each.layer, each.layer.timber_fraction
    if share is None:
        if layer.timber_conductivity_w_mk is None:
            return 0.0
        return _fault(each, "timber_conductivity_w_mk", "heat.battens_without_fraction")
    if not 0 < share < 1:
        return _fault(each, "timber_fraction", "heat.batten_fraction_out_of_range")
    if layer.thickness_mm is None:
        return _fault(each, "thickness_mm", "heat.battens_without_thickness")
    given = SOFTWOOD_W_MK if layer.timber_conductivity_w_mk is None else layer.timber_conductivity_w_mk
    conductivity = _ranged(each, "timber_conductivity_w_mk", given, CONDUCTIVITY_W_MK)
    return conductivity if isinstance(conductivity, Fault) else layer.thickness_mm / 1000 / conductivity


def sd_m(*, layers: tuple[Beside, ...]) -> tuple[float, ...]:
    """Vapour resistance of each layer in metres of still air; none may be missing.

    Raises InvalidInput at the layer's `mu`, `sd_m` or `thickness_mm`.
    """
    return _all(layers, _sd)


def _located(side: str, layers: tuple[BuildUpLayer, ...]) -> tuple[Beside, ...]:
    return tuple(Beside(pointer=f"{side}/{index}", layer=layer) for index, layer in enumerate(layers))


def _all(layers: tuple[Beside, ...], measure: Callable[[Beside], float | Fault]) -> tuple[float, ...]:
    found = tuple(measure(each) for each in layers)
    faults = tuple(each for each in found if isinstance(each, Fault))
    if faults:
        raise InvalidInput(*faults)
    return tuple(each for each in found if not isinstance(each, Fault))


def _resistance(each: Beside) -> float | Fault:
    layer = each.layer
    if layer.resistance_m2k_w is not None:
        if layer.conductivity_w_mk is not None:
            return _fault(each, "resistance_m2k_w", "heat.resistance_twice")
        return _ranged(each, "resistance_m2k_w", layer.resistance_m2k_w, RESISTANCE_M2K_W)
    if layer.conductivity_w_mk is None:
        return _fault(each, "conductivity_w_mk", "heat.resistance_missing")
    if layer.thickness_mm is None:
        return _fault(each, "thickness_mm", "heat.conductivity_without_thickness")
    conductivity = _ranged(each, "conductivity_w_mk", layer.conductivity_w_mk, CONDUCTIVITY_W_MK)
    thickness = _ranged(each, "thickness_mm", layer.thickness_mm, THICKNESS_MM)
    if isinstance(conductivity, Fault) or isinstance(thickness, Fault):
        return conductivity if isinstance(conductivity, Fault) else thickness
    return thickness / 1000 / conductivity


def _sd(each: Beside) -> float | Fault:
    layer = each.layer
    if layer.sd_m is not None:
        if layer.mu is not None:
            return _fault(each, "sd_m", "heat.vapour_twice")
        return _ranged(each, "sd_m", layer.sd_m, SD_M)
    if layer.mu is None:
        return _fault(each, "mu", "heat.vapour_missing")
    if layer.thickness_mm is None:
        return _fault(each, "thickness_mm", "heat.mu_without_thickness")
    return _ranged(each, "mu", layer.mu * layer.thickness_mm / 1000, SD_M)


def _ranged(each: Beside, field: str, value: float, limits: tuple[float, float]) -> float | Fault:
    least, most = limits
    if least <= value <= most:
        return value
    return _fault(each, field, "heat.layer_out_of_range", value=value, least=least, most=most)


def _fault(each: Beside, field: str, code: str, **values: Value) -> Fault:
    return Fault(f"{each.pointer}/{field}", message(code, layer=each.layer.name, **values))
