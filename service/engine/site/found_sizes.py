"""What was found on the site of a cavity's sizes: its depth, its members, and how its bays were met."""

from collections.abc import Iterator
from dataclasses import replace
from math import fsum, sqrt
from statistics import fmean

from service.engine.geometry.sensitivity import Depths
from service.engine.ground.messages import message
from service.engine.ground.uncertainty import ENOUGH_READINGS, type_a
from service.engine.ground.vocabulary import BayState, Runs, Surveyed
from service.engine.site.entries import Found
from service.engine.site.planned import Planned
from service.engine.survey.cavity import Cavity, Displaced, Framing, Layer
from service.engine.survey.uncertainties import SizeErrors, SurveyErrors
from service.errors import Fault, InvalidInput


def found_cavity(*, planned: Planned, found: tuple[Found, ...]) -> Cavity:
    """The cavity with the depths and members that were found; a total depth is taken up by the open layer."""
    cavity, depths = planned.cavity, _by_layer(found)
    total_mm = _total_readings(found)
    layers = [
        replace(layer, depth_mm=depths.get(place, layer.depth_mm))
        for place, layer in enumerate(cavity.layers, start=1)
    ]
    if total_mm:
        place = _taking_up(layers)
        rest_mm = fmean(total_mm) - fsum(layer.depth_mm for at, layer in enumerate(layers) if at != place)
        if rest_mm <= 0:
            raise InvalidInput(Fault("/depth_mm", message("site.found_no_depth_left")))
        layers[place] = replace(layers[place], depth_mm=rest_mm)
    runs = _bays_run(layers)
    for each in found:
        layers = [
            _framed(layer, each) if _is_of(each, place, layer, runs) else layer
            for place, layer in enumerate(layers, start=1)
        ]
    return replace(cavity, layers=tuple(layers), displaced=tuple(_displaced(cavity, found)))


def found_depth_mm(*, planned: Planned, found: tuple[Found, ...]) -> float | None:
    """The total depth by all readings in the cavity, in mm; None where nobody measured it."""
    total_mm = _total_readings(found)
    if total_mm:
        return fmean(total_mm)
    layers = [layer.depth_mm for layer in planned.cavity.layers]
    by_layer = _by_layer(found)
    if not by_layer:
        return None
    return fsum(by_layer.get(place, depth) for place, depth in enumerate(layers, start=1))


def depth_measured(*, cavity: Cavity, found: tuple[Found, ...]) -> bool:
    """Whether somebody measured the depth: all of it, or every layer's."""
    depths = {each.layer for each in found if each.depth_mm}
    return None in depths or depths.issuperset(range(1, len(cavity.layers) + 1))


def counted_sizes(*, cavity: Cavity, found: tuple[Found, ...], errors: SurveyErrors) -> SizeErrors:
    """The half-widths of a cavity's sizes but its depths: what was found is counted, the rest the survey's.

    The members of one layer do not tell those of the others.
    """
    survey = errors.counted if cavity.surveyed is Surveyed.COUNTED else errors.drawn
    framed = {place for place, layer in enumerate(cavity.layers, start=1) if layer.framing}
    breadths = [each.layer for each in found if each.member_mm]
    breadth = None in breadths or bool(breadths and framed.issubset(breadths))
    return replace(survey, member_mm=errors.counted.member_mm if breadth else survey.member_mm)


def found_depths(*, cavity: Cavity, found: tuple[Found, ...], errors: SurveyErrors) -> Depths:
    """The half-widths of the depths of a cavity: of what was measured as counted, else the survey's.

    Readings enough to show their scatter that scatter more than a counted depth errs, err as
    they show (TYPE_A).
    """
    survey = errors.counted if cavity.surveyed is Surveyed.COUNTED else errors.drawn
    by_layer, total_mm = _readings(found), _total_readings(found)
    halves_mm = [
        _half_mm(by_layer[place], errors) if place in by_layer else survey.depth_mm
        for place in range(1, len(cavity.layers) + 1)
    ]
    rest = _taking_up(list(cavity.layers)) if total_mm else None
    if rest is not None:
        halves_mm[rest] = _half_mm(total_mm, errors)
    return Depths(tuple(halves_mm), rest)


def _half_mm(readings_mm: list[float], errors: SurveyErrors) -> float:
    if len(readings_mm) < ENOUGH_READINGS:
        return errors.counted.depth_mm
    return max(errors.counted.depth_mm, sqrt(3) * type_a(readings=tuple(readings_mm)))


def bay_states(*, found: tuple[Found, ...]) -> dict[int, BayState]:
    """How each bay was met that could not be filled as planned; the last word holds."""
    return {each.bay: each.state for each in found if each.bay is not None and each.state is not None}


def _displaced(cavity: Cavity, found: tuple[Found, ...]) -> Iterator[Displaced]:
    """What is displaced in no bay apart; bays that were counted anew have other numbers than the survey's."""
    counted, apart = any(each.members or each.members_at_m for each in found), bay_states(found=found)
    for each in cavity.displaced:
        if counted:
            yield replace(each, bay=None)
        elif each.bay not in apart:
            yield each


def _total_readings(found: tuple[Found, ...]) -> list[float]:
    return [depth for each in found if each.layer is None for depth in each.depth_mm]


def _readings(found: tuple[Found, ...]) -> dict[int, list[float]]:
    readings: dict[int, list[float]] = {}
    for each in found:
        if each.layer is not None and each.depth_mm:
            readings.setdefault(each.layer, []).extend(each.depth_mm)
    return readings


def _by_layer(found: tuple[Found, ...]) -> dict[int, float]:
    return {layer: fmean(depths) for layer, depths in _readings(found).items()}


def _taking_up(layers: list[Layer]) -> int:
    """Which layer a difference of the total depth is of: the open one, or the only one."""
    free = [place for place, layer in enumerate(layers) if layer.framing is None]
    if len(layers) == 1:
        return 0
    if len(free) != 1:
        raise InvalidInput(Fault("/layer", message("site.found_depth_of_which_layer")))
    return free[0]


def _bays_run(layers: list[Layer]) -> Runs:
    """Which way the members run that the bays lie between: across only where all do."""
    along = any(_runs(layer, Runs.ALONG) for layer in layers)
    return Runs.ALONG if along else Runs.ACROSS


def _is_of(found: Found, place: int, layer: Layer, runs: Runs) -> bool:
    """Whether what was found of members is of a layer: of the one it names, or of those between the bays."""
    return found.layer == place if found.layer is not None else _runs(layer, runs)


def _runs(layer: Layer, runs: Runs) -> bool:
    return layer.framing is not None and layer.framing.runs is runs


def _framed(layer: Layer, found: Found) -> Layer:
    if layer.framing is None or not (found.members or found.members_at_m or found.member_mm):
        return layer
    counted = found.members is not None or bool(found.members_at_m)
    framing: Framing = replace(layer.framing, member_mm=found.member_mm or layer.framing.member_mm)
    if counted:
        framing = replace(
            framing,
            members=found.members,
            members_at_m=found.members_at_m or None,
            spacing_mm=None,
            timber_fraction=None,
            timber_fraction_u=None,
        )
    return replace(layer, framing=framing)
