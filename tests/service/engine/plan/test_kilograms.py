from dataclasses import replace
from math import sqrt

import pytest

from service.engine.ground.uncertainty import total
from service.engine.plan.kilograms import by_bags, emptied, hopper, label_bag, run_empty, unseen, weighed
from service.engine.survey.uncertainties import WEIGHING

ERRORS = replace(
    WEIGHING, scale_half_kg=0.1, bag_over_label_rel=0.03, run_empty_half_kg=1.0, hopper_half_kg=0.5
)


def test_a_label_states_a_minimum() -> None:
    """14 kg and 3 %: bags hold 14.00 to 14.84 kg, 14.42 in the middle."""
    found = label_bag(bag_kg=14, errors=ERRORS)
    assert (found.value, found.u) == pytest.approx((14.42, 0.42 / sqrt(3)))


def test_readings_of_one_scale_do_not_average_out() -> None:
    """Four readings off by the same 0.1 kg: four times 0.0577, not twice."""
    found = total(weighed(reading_kg=10, errors=ERRORS) for _ in range(4))
    assert (found.value, found.u) == pytest.approx((40, 4 * 0.1 / sqrt(3)))


def test_bags_share_the_mean_and_differ_each_by_itself() -> None:
    bag = label_bag(bag_kg=14, errors=ERRORS)
    row = [emptied(bags=4, bag=bag, spread_kg=0.2, of=of) for of in ("one", "other")]
    assert total(row).u == pytest.approx(sqrt((8 * 0.42 / sqrt(3)) ** 2 + 8 * 0.2**2))


@pytest.mark.parametrize(
    ("held", "value", "half"),
    [
        (run_empty(errors=ERRORS, of="here"), 0, 1.0),
        (hopper(reading_kg=6, errors=ERRORS, of="here"), 6, 0.5),
        (unseen(bag_kg=14, of="here"), 7, 7),
        (unseen(bag_kg=14, of="here", visits=4), 7, 14),
    ],
)
def test_what_is_in_the_machine(held, value: float, half: float) -> None:
    assert (held.value, held.u) == pytest.approx((value, half / sqrt(3)))
    assert total((held, held.scaled(-1))).u == 0


@pytest.mark.parametrize("unseen_ends", [True, False])
def test_before_filling_a_mass_is_known_as_it_will_be_by_its_bags(unseen_ends: bool) -> None:
    """10 bags by their label, what is in the machine before put in and what is in it after left out."""
    bag = label_bag(bag_kg=14, errors=ERRORS)
    mass = emptied(bags=10, bag=bag, spread_kg=14 * ERRORS.bag_spread_rel_u, of="fill")
    ends = [
        unseen(bag_kg=bag.value, of=of) if unseen_ends else run_empty(errors=ERRORS, of=of)
        for of in ("before", "after")
    ]
    expected = total((mass, ends[0], ends[1].scaled(-1))).u
    known = by_bags(bag_kg=14, errors=ERRORS, unseen_ends=unseen_ends)
    assert known.u_kg(mass_kg=mass.value) == pytest.approx(expected)
