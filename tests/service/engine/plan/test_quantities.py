"""Kilograms and bags against handbook figures and plain arithmetic."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.geometry.compartments import parts
from service.engine.geometry.geometry import geometry
from service.engine.ground.vocabulary import Facing, Standing
from service.engine.plan.quantities import (
    BULGE_FACTOR,
    BULGE_FACTOR_HALF,
    bags,
    bulge_volume_m3,
    clear_facing_m2,
    dense_mass_kg,
    expected_bulge_mm,
    filled_volume_m3,
    whole,
)
from service.engine.survey.practice import Bulge
from tests.builders import framing, layer, opening, practice, stud_wall

LB = 0.45359237
FT = 0.3048


def mass_of(cavity, *, target_kg_m3, profile=None):
    filled_m3 = filled_volume_m3(
        cavity=cavity,
        geometry=geometry(cavity=cavity),
        parts=parts(cavity=cavity),
        practice=profile or practice(),
    )
    return dense_mass_kg(target_kg_m3=target_kg_m3, filled_m3=filled_m3)


def facing_m2(cavity):
    return clear_facing_m2(cavity=cavity, parts=parts(cavity=cavity))


def test_three_bays_of_a_two_by_four_wall_take_about_a_bag_of_thirty_pounds():
    # US handbook text, second hand: 8 ft wall, 2 x 4 studs at 16 in, one 30 lb bag fills about three bays;
    # 8.1 ft3 x 3.5 lb/ft3 = 28.4 lb.
    inch = 25.4
    studs = framing(member_mm=1.5 * inch, spacing_mm=16 * inch, plates_mm=3 * 1.5 * inch)
    bays = stud_wall(width_m=49.5 * inch / 1000, span_m=8 * FT, layers=(layer(3.5 * inch, studs),))
    shape = geometry(cavity=bays)
    assert shape.bays == 3
    mass_kg = mass_of(bays, target_kg_m3=3.5 * LB / FT**3)
    assert mass_kg / LB == pytest.approx(28.4, rel=0.01)
    assert bags(mass_kg=mass_kg, bag_kg=30 * LB, waste_percent=0) == 1


def test_mass_of_identical_cavities():
    # Independent arithmetic: 6.0 x 2.5 m, 140 mm, 11 studs of 45 mm, plates 135 mm:
    # 0.14 x (6.0 - 11 x 0.045) x (2.5 - 0.135) = 1.822706 m3, at 55 kg/m3.
    walls = stud_wall(count=3)
    mass_kg = mass_of(walls, target_kg_m3=55)
    assert mass_kg == pytest.approx(3 * 1.8227055 * 55)


def test_a_bulge_lies_midway_between_a_parabola_held_along_two_sides_and_on_four():
    # Simpson's rule, which is exact for a parabola: w/6 (0 + 4 h + 0), for each bay held along its length;
    # held on four sides the height itself is a parabola along the bay, so that it is two thirds once more.
    widths_m, span_m, height_m = (0.58, 0.58, 0.31), 2.5, 0.03
    by_simpson = sum(width / 6 * 4 * height_m for width in widths_m) * span_m
    found = bulge_volume_m3(bulge_mm=30, facing_m2=sum(widths_m) * span_m)
    assert found == pytest.approx((by_simpson + by_simpson * 4 / 6) / 2)
    assert by_simpson - found == pytest.approx(BULGE_FACTOR_HALF / BULGE_FACTOR * found)


def test_the_mass_has_the_bulge_that_the_profile_expects_of_the_facing():
    expected = Bulge(
        facing=Facing.MEMBRANE, bulge_mm=15, source="the firm", standing=Standing.COMMON_PRACTICE
    )
    profile = replace(practice(), bulges=(expected,))
    walls = stud_wall(count=2, facing=Facing.MEMBRANE)
    flat, bulged = (
        mass_of(each, target_kg_m3=50, profile=profile)
        for each in (replace(walls, facing=Facing.BOARD), walls)
    )
    # Arithmetic: 6.0 - 11 x 0.045 = 5.505 m clear, 2.5 - 0.135 = 2.365 m between the plates;
    # 2 walls x 5/9 x 0.015 x 5.505 x 2.365 x 50 kg/m3.
    assert bulged - flat == pytest.approx(13.019325 * 5 / 6)
    assert [expected_bulge_mm(facing=each, practice=profile) for each in (Facing.MEMBRANE, Facing.BOARD)] == [
        15,
        0,
    ]


def test_a_facing_does_not_bulge_where_there_is_a_window():
    walls = stud_wall()
    placed = replace(walls, openings=(opening(width_m=1.2, height_m=1.2, trim_mm=0, left_m=1.0, sill_m=0.8),))
    lost_m2 = facing_m2(walls) - facing_m2(placed)
    # The window hides 1.2 m less the one or two studs behind it, over its height of 1.2 m.
    assert 1.2 * (1.2 - 2 * 0.045) <= lost_m2 + 1e-9 <= 1.2 * (1.2 - 0.045) + 2e-9
    spread = replace(walls, openings=(opening(width_m=1.2, height_m=1.2, trim_mm=0),))
    share = 1 - 1.44 / (walls.width_m * walls.span_m)
    assert facing_m2(spread) == pytest.approx(facing_m2(walls) * share)


@pytest.mark.parametrize(
    ("mass_kg", "bag_kg", "waste_percent", "expected"),
    [
        (7000, 15, 0, 467),  # a self-builder's diary, second hand: 7 t were about 466 bales of 15 kg
        (1000, 12.5, 0, 80),
        (1000, 12.5, 5, 84),
        (1000.1, 12.5, 0, 81),
        (3 * 12.3, 12.3, 0, 3),  # 36.900000000000006: dust adds no bag
        (0.0, 12.5, 5, 0),
    ],
)
def test_bags(mass_kg, bag_kg, waste_percent, expected):
    assert bags(mass_kg=mass_kg, bag_kg=bag_kg, waste_percent=waste_percent) == expected


@pytest.mark.parametrize(
    ("number", "expected"), [(3.0000000000000004, 3), (2.9999999999999996, 3), (3.001, 4)]
)
def test_whole_numbers(number, expected):
    assert whole(number=number) == expected


@given(
    masses_kg=st.lists(st.integers(min_value=0, max_value=2_000_000), min_size=1, max_size=30),
    bag_kg=st.sampled_from((11.34, 12.5, 13.608, 15.0)),
    waste_percent=st.sampled_from((0.0, 2.0, 5.0)),
)
def test_rounding_up_once_never_takes_more_than_rounding_each(masses_kg, bag_kg, waste_percent):
    grams = [mass / 1000 for mass in masses_kg]
    once = bags(mass_kg=sum(grams), bag_kg=bag_kg, waste_percent=waste_percent)
    each = sum(bags(mass_kg=mass, bag_kg=bag_kg, waste_percent=waste_percent) for mass in grams)
    assert each - len(grams) < once <= each
    assert once * bag_kg >= sum(grams) - 1e-6
