"""What another density would take."""

from dataclasses import replace
from decimal import Decimal

import pytest

from service.engine.density import Window, window
from service.engine.geometry import geometry
from service.engine.quantities import dense_mass_kg
from service.engine.whatif import steps, what_if
from tests.builders import material, practice, stud_wall


def a_window() -> Window:
    """The window of a 140 mm wall: 50 to 70 kg/m3, target 55."""
    found = window(cavity=stud_wall(), material=material(), practice=practice())
    assert found is not None
    return found


def test_steps_go_evenly_from_lowest_to_highest():
    # The target of 55 is one of the quarter points: 50, 55, 60, 65, 70.
    assert steps(window=a_window()) == (50, 55, 60, 65, 70)


def test_the_target_is_among_the_steps():
    target = replace(a_window().target_kg_m3, value=57.3)
    assert steps(window=replace(a_window(), target_kg_m3=target)) == (50, 55, 57.3, 60, 65, 70)


def test_a_window_of_one_density_has_one_step():
    only = a_window().target_kg_m3
    assert steps(window=replace(a_window(), lowest_kg_m3=only, highest_kg_m3=only)) == (55,)


def test_mass_bags_hours_and_price_at_each_density():
    wall = stud_wall()
    rows = what_if(
        window=a_window(),
        mass_at=lambda target: (
            100
            + dense_mass_kg(
                cavity=wall, geometry=geometry(cavity=wall), target_kg_m3=target, practice=practice()
            )
        ),
        hours_at=lambda mass_kg: 2 + mass_kg / 400,
        net_at=lambda mass_kg, hours: Decimal(round(mass_kg)) + Decimal(round(hours * 100)),
        bag_kg=12.5,
        waste_percent=0,
    )
    # Arithmetic: 0.14 x 5.505 x 2.365 = 1.8227055 m3, and 100 kg for the rest of the job.
    assert [row.target_kg_m3 for row in rows] == [50, 55, 60, 65, 70]
    assert [row.mass_kg for row in rows] == [
        pytest.approx(100 + 1.8227055 * target) for target in (50, 55, 60, 65, 70)
    ]
    assert [row.bags for row in rows] == [16, 17, 17, 18, 19]
    assert [round(row.hours, 3) for row in rows] == [2.478, 2.501, 2.523, 2.546, 2.569]
    assert [row.net for row in rows] == [191 + 248, 200 + 250, 209 + 252, 218 + 255, 228 + 257]


def test_without_a_price_list_there_is_no_price():
    rows = what_if(
        window=a_window(),
        mass_at=lambda target: target,
        hours_at=lambda _: 1.0,
        net_at=lambda *_: None,
        bag_kg=12.5,
        waste_percent=5,
    )
    assert {row.net for row in rows} == {None}
