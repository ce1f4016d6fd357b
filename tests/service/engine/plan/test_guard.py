"""The guard band of an open blow: by hand, and simulated."""

from dataclasses import replace
from math import ceil, hypot, sqrt

import numpy
import pytest

from service.engine.geometry.geometry import geometry
from service.engine.plan.openblow import OpenBlow, open_blow
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Practice
from tests.builders import attic, material, practice

GUARD = practice().decision.guard_factor


def found(cavity: Cavity, profile: Practice | None = None) -> OpenBlow:
    return open_blow(
        cavity=cavity,
        geometry=geometry(cavity=cavity),
        material=material(),
        practice=profile or practice(),
    )


def test_more_than_the_least_is_planned():
    """By hand: ruler 5/sqrt(3) mm whatever the number of readings, evenness 10/sqrt(6) mm; 1.645 of their u.

    Mass of 789.6 kg: scale 0.1/sqrt(3), bags 3/103 of it/sqrt(3), from bag to bag 2 % of sqrt(789.6 x 12.5),
    machine at both ends sqrt(2) x 1/sqrt(3) kg; of the area 10 mm each way of 10 and 8 m, rectangular.
    """
    blow = found(attic())
    u_mm = hypot(5 / sqrt(3), 10 / sqrt(6))
    assert blow.guard.u_mm == pytest.approx(u_mm)
    assert blow.guard.planned_initial_mm == ceil(300 / 0.85 + GUARD * u_mm) == 362
    u_kg = hypot(
        0.1 / sqrt(3), 789.6 * 0.03 / 1.03 / sqrt(3), 0.02 * sqrt(789.6 * 12.5), sqrt(2) * 1 / sqrt(3)
    )
    u_kg_m2 = hypot(u_kg / 75.2, 10.5 * hypot(0.010 / 10, 0.010 / 8) / sqrt(3))
    assert blow.guard.u_kg_m2 == pytest.approx(u_kg_m2)
    planned_kg = (10.5 + GUARD * u_kg_m2) * 75.2
    assert planned_kg <= blow.mass_kg < planned_kg + 0.1
    assert blow.mass_kg * 10 == pytest.approx(round(blow.mass_kg * 10))


@pytest.mark.parametrize(("factor", "low", "high"), [(1.645, 0.25, 0.30), (3.3, 0.90, 0.94)])
def test_the_chance_that_both_conform_at_the_first_check_is_simulated_again(factor, low, high):
    """JCGM 106's rule on floors blown exactly as planned: about one in four, and nine in ten.

    A floor of 1.645 u is proven every other time by each of two measurements; the rest of the range is
    what rounding up adds.
    """
    ours = practice()
    profile = replace(ours, decision=replace(ours.decision, guard_factor=factor))
    blow, rng = found(attic(), profile=profile), numpy.random.default_rng(20260105)
    thick = rng.normal(blow.guard.planned_initial_mm, blow.guard.u_mm, 100_000)
    heavy = rng.normal(blow.guard.planned_kg_m2, blow.guard.u_kg_m2, 100_000)
    least_mm = blow.initial_mm + 1.6449 * blow.guard.u_mm
    least_kg_m2 = blow.mass_per_area_kg_m2 + 1.6449 * blow.guard.u_kg_m2
    both = float(numpy.mean((thick >= least_mm) & (heavy >= least_kg_m2)))
    assert both == pytest.approx(blow.guard.chance, abs=0.006)
    assert low <= both <= high


def test_each_of_several_identical_floors_proves_itself():
    one, two = found(attic()), found(attic(count=2))
    assert (two.guard.planned_initial_mm, two.guard.planned_kg_m2) == (
        one.guard.planned_initial_mm,
        one.guard.planned_kg_m2,
    )
