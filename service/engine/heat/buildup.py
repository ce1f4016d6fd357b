"""The layers beside the cavity that heat and vapour pass."""

from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

from service.engine.ground.messages import Value, message
from service.engine.survey.cavity import BuildUpLayer, Cavity
from service.engine.survey.limits import CONDUCTIVITY_W_MK, RESISTANCE_M2K_W, SD_M, THICKNESS_MM
from service.errors import Fault, InvalidInput

SOFTWOOD_W_MK = 0.13  # softwood of 500 kg/m3 (EN 12524)


class Beside(NamedTuple):
    """A layer beside the cavity that counts, and the pointer to where it was given."""

    pointer: str
    layer: BuildUpLayer


class Flank(NamedTuple):
    """A layer beside the cavity with its resistances in m2K/W.

    `between` is that between battens, `battens` theirs (None of a layer without any), `whole`
    the layer's with both, heat evening out in the planes on either side of it.
    """

    layer: BuildUpLayer
    between: float
    battens: float | None
    whole: float


class Flanks(NamedTuple):
    """The layers beside a cavity that count, each side from the outside in."""

    outside: tuple[Flank, ...]
    inside: tuple[Flank, ...]


def beside(*, cavity: Cavity) -> tuple[tuple[Beside, ...], tuple[Beside, ...]]:
    """Layers outside and inside the cavity, each from the outside in.

    A well-ventilated layer and all that lies outside it do not count (ISO 6946).
    Raises InvalidInput at `/inside/N/ventilated`: such a layer lies outside only.
    """
    return _counting(cavity.outside, cavity.inside)


def _counting(
    outer: tuple[BuildUpLayer, ...], inner: tuple[BuildUpLayer, ...]
) -> tuple[tuple[Beside, ...], tuple[Beside, ...]]:
    outside, inside = _located("/outside", outer), _located("/inside", inner)
    faults = tuple(
        Fault(f"{each.pointer}/ventilated", message("heat.ventilated_inside"))
        for each in inside
        if each.layer.ventilated
    )
    if faults:
        raise InvalidInput(*faults)
    counts_from = max((number for number, each in enumerate(outside, 1) if each.layer.ventilated), default=0)
    return outside[counts_from:], inside


def flanks(*, cavity: Cavity) -> Flanks:
    """The layers on both sides with their resistances; raises as `beside`, then as those do."""
    return _flanks(cavity.outside, cavity.inside)


@lru_cache(maxsize=64)  # most cavities of a building have the layers of others
def _flanks(outside: tuple[BuildUpLayer, ...], inside: tuple[BuildUpLayer, ...]) -> Flanks:
    outer, inner = _counting(outside, inside)
    layers = outer + inner
    resistances = resistances_m2k_w(layers=layers)
    rows = zip(layers, resistances, battens_m2k_w(layers=layers), strict=True)
    found = tuple(_flank(each.layer, between, battens) for each, between, battens in rows)
    return Flanks(outside=found[: len(outer)], inside=found[len(outer) :])


def _flank(layer: BuildUpLayer, between: float, battens: float | None) -> Flank:
    share = layer.timber_fraction or 0.0
    whole = between if battens is None else 1 / (share / battens + (1 - share) / between)
    return Flank(layer=layer, between=between, battens=battens, whole=whole)


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
