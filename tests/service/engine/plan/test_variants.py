"""What another density would take, against a takeoff of the whole building with that density chosen."""

from dataclasses import replace
from decimal import Decimal

import pytest

from service.engine.plan.density import window
from service.engine.plan.variants import densities, targets_kg_m3
from tests.builders import attic, material, practice, price_list, roof_slope, stud_wall, wall, worked

CAVITIES = (wall(), stud_wall(count=2), attic())


def a_window():
    """The window of a 140 mm wall: 50 to 70 kg/m3, target 55."""
    return window(cavity=stud_wall(), material=material(), practice=practice())


def test_targets_go_evenly_from_lowest_to_highest():
    # The target of 55 is one of the quarter points: 50, 55, 60, 65, 70.
    assert targets_kg_m3(window=a_window()) == (50, 55, 60, 65, 70)


def test_the_target_is_among_them():
    target = replace(a_window().target_kg_m3, value=57.3)
    assert targets_kg_m3(window=replace(a_window(), target_kg_m3=target)) == (50, 55, 57.3, 60, 65, 70)


def test_a_window_of_one_density_has_one_target():
    only = a_window().target_kg_m3
    assert targets_kg_m3(window=replace(a_window(), lowest_kg_m3=only, highest_kg_m3=only)) == (55,)


def test_mass_bags_hours_and_price_by_hand():
    # 0.14 x 5.505 x 2.365 = 1.8227055 m3 at 350 kg/h; the hours are 1 + 0.75 for the job, 0.03 for the move,
    # 10 x 0.05, 10 x 0.08 and 2 x 0.15 for holes, patches and samples, which have their own price: none.
    none = dict.fromkeys(
        ("hole_each", "patch_each", "sample_each", "tape_per_m", "set_up", "minimum_charge"), Decimal(0)
    )
    cheap = price_list(blowing_per_hour=Decimal(100), **none)
    (found,) = densities(worked=worked(stud_wall(), price_list=cheap))
    kg = [1.8227055 * target for target in (50, 55, 60, 65, 70)]
    assert [step.mass_kg for step in found.steps] == pytest.approx(kg)
    assert [step.bags for step in found.steps] == [8, 9, 9, 10, 11]
    assert [step.hours for step in found.steps] == pytest.approx([3.38 + each / 350 for each in kg])
    assert [float(step.net) for step in found.steps] == [
        pytest.approx(1.35 * round(each, 2) + 100 * round(0.03 + each / 350, 2), abs=0.01) for each in kg
    ]


@pytest.mark.parametrize("place", [0, 1])
def test_each_row_is_the_takeoff_of_a_building_with_that_density(place):
    rows = densities(worked=worked(*CAVITIES))[place].steps
    assert len(rows) >= 5
    for row in rows:
        chosen = tuple(
            replace(each, target_kg_m3=row.target_kg_m3) if index == place else each
            for index, each in enumerate(CAVITIES)
        )
        found = worked(*chosen).found
        assert (row.bags, row.net) == (found.bags, found.price.net)
        assert row.mass_kg == pytest.approx(found.mass_kg)
        assert row.hours == pytest.approx(found.crew_hours)


def test_a_density_has_the_samples_that_prove_it():
    """Rafters of 240 mm at 55 kg/m3 are proven by a machine run empty; nearer a limit by three cores."""
    (rows,) = densities(worked=worked(roof_slope()))
    for row in rows.steps:
        found = worked(roof_slope(target_kg_m3=row.target_kg_m3)).found
        assert found.samples == (0 if row.target_kg_m3 == 55 else 3)
        assert (row.hours, row.net) == (pytest.approx(found.crew_hours), found.price.net)


def test_the_row_of_the_target_is_the_takeoff_itself():
    job = worked(*CAVITIES)
    for row, planned in zip(densities(worked=job), job.found.cavities, strict=False):
        (same,) = [each for each in row.steps if each.target_kg_m3 == planned.density.target_kg_m3.value]
        assert (same.mass_kg, same.bags, same.hours, same.net) == (
            job.found.mass_kg,
            job.found.bags,
            job.found.crew_hours,
            job.found.price.net,
        )


def test_an_open_blow_has_no_density_to_choose():
    assert [row.label for row in densities(worked=worked(*CAVITIES))] == ["W1", "W2"]
