from math import sqrt

import pytest

from service.engine.ground.uncertainty import Measured, total
from service.engine.site.spill import CANCELLING, spilt, vacuumed_up
from tests.evidence import basis, filling, spill


def of(fillings, *reclaimed, masses=None, **errors):
    kilograms = masses or [100.0] * len(fillings)
    blown = {each.entry: Measured(value=kg) for each, kg in zip(fillings, kilograms, strict=True)}
    return spilt(reclaimed=reclaimed, fillings=fillings, blown=blown, basis=basis(**errors))


def test_spill_is_shared_out_by_the_kilograms_of_the_day() -> None:
    rows = tuple(filling(number, name) for number, name in enumerate("abc", start=1))
    found = of(rows, spill(5, mass_kg=10), masses=[100, 100, 300])
    assert [each.value for each in found.values()] == pytest.approx([2, 2, 6])
    assert total(found.values()).u == pytest.approx(0, abs=1e-12)


def test_of_two_equal_parts_each_share_is_off_by_the_whole_of_itself_and_the_other_by_as_much_less() -> None:
    found = of((filling(1, "a"), filling(2, "b")), spill(5, mass_kg=10))
    assert [each.u for each in found.values()] == pytest.approx([5 / sqrt(3)] * 2)
    assert total(found.values()).u == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize("parts", [3, 10, CANCELLING])
def test_of_several_equal_parts_too(parts: int) -> None:
    rows = tuple(filling(1 + number / 100, f"{number}") for number in range(parts))
    found = of(rows, spill(5, mass_kg=10))
    assert [each.u for each in found.values()] == pytest.approx([10 / parts / sqrt(3)] * parts)
    assert total(found.values()).u == pytest.approx(0, abs=1e-9)


def test_of_very_many_each_is_off_by_itself() -> None:
    rows = tuple(filling(1 + number / 100, f"{number}") for number in range(CANCELLING + 1))
    found = of(rows, spill(5, mass_kg=10))
    assert found["0"].u == pytest.approx(10 / len(rows) / sqrt(3))


def test_the_only_part_of_a_day_has_all_of_it_and_no_error_but_the_scales() -> None:
    found = of((filling(1, "a"), filling(2, "a")), spill(5, mass_kg=10), scale_half_kg=0.1)
    assert (found["a"].value, found["a"].u) == pytest.approx((10, 0.1 / sqrt(3)))


def test_an_entry_that_names_the_part_leaves_nothing_to_share_out() -> None:
    rows = (filling(1, "W1 W1", cavity="W1"), filling(2, "W2 W2", cavity="W2"))
    found = of(rows, spill(5, mass_kg=10, cavities=("W2",)))
    assert set(found) == {"W2 W2"}
    assert (found["W2 W2"].value, found["W2 W2"].u) == pytest.approx((10, 0))


def test_spill_is_of_its_day_and_of_the_last_one_where_it_is_vacuumed_up_the_next_morning() -> None:
    rows = (filling(1, "monday"), filling(25, "tuesday"))
    assert set(of(rows, spill(9, mass_kg=10))) == {"monday"}
    assert set(of(rows, spill(30, mass_kg=10))) == {"tuesday"}
    assert set(of(rows[:1], spill(24, mass_kg=10))) == {"monday"}
    assert of((), spill(9, mass_kg=10)) == {}


@pytest.mark.parametrize("hours", [2.5, 4.0])
def test_a_part_that_is_said_to_be_done_after_its_spill_was_swept_has_its_share(hours: float) -> None:
    """Whatever the order in the day: 10 kg of 400 are of both parts, 100 and 300 kg."""
    rows = (filling(2, "a"), filling(3, "b"))
    found = of(rows, spill(hours, mass_kg=10), masses=[100, 300])
    assert {name: each.value for name, each in found.items()} == pytest.approx({"a": 2.5, "b": 7.5})


def test_what_was_swept_before_the_first_fill_that_is_told_is_in_no_wall_all_the_same() -> None:
    assert set(of((filling(25, "tuesday"), filling(49, "wednesday")), spill(1, mass_kg=10))) == {"tuesday"}


def test_spill_of_a_part_that_nothing_was_blown_into_fell_from_any() -> None:
    rows = (filling(2, "W1 W1", cavity="W1"), filling(3, "W2 W2", cavity="W2"))
    found = of(rows, spill(5, mass_kg=10, cavities=("W9",)), masses=[100, 300])
    assert {name: each.value for name, each in found.items()} == pytest.approx({"W1 W1": 2.5, "W2 W2": 7.5})


def test_a_day_is_one_of_the_site() -> None:
    """Half past three in the afternoon at UTC-8 is the next day in UTC, where the server counts."""
    morning, evening, swept = (
        {"happened_at": f"2026-11-23T{hour}:00-08:00", "received_at": received}
        for hour, received in (
            ("09:30", "2026-11-23T17:30:00Z"),
            ("16:30", "2026-11-24T00:29:59Z"),
            ("17:00", "2026-11-24T00:59:59Z"),
        )
    )
    rows = (filling(0, "a", **morning), filling(0, "b", **evening))
    assert set(of(rows, spill(0, mass_kg=10, **swept))) == {"a", "b"}


def test_none_is_an_answer() -> None:
    assert of((filling(1, "a"),), spill(5, mass_kg=0.0)) == {}


def test_bags_of_spill_are_known_to_half_a_bag() -> None:
    found = vacuumed_up(entry=spill(5, bags=2), basis=basis())
    assert (found.value, found.u) == pytest.approx((28, 7 / sqrt(3)))
