from dataclasses import replace
from datetime import timedelta
from math import sqrt

import numpy
import pytest

from service.engine.ground.uncertainty import total
from service.engine.site.chains import Filling, blown
from service.engine.site.planned import Bag
from tests.evidence import BEGINS, bag, basis, filling

HALF_A_BAG = 7 / sqrt(3)  # of 14 kg, rectangular


def test_what_nobody_saw_in_the_hopper_is_half_a_bag_before_and_after() -> None:
    """In the middle of a job 14 kg bags: u = 7/sqrt(3) x sqrt(2) kg, 42 kg/m3 (k = 2) in 0.27 m3."""
    row = (filling(1, "a", bags=10), filling(2, "b", bags=1), filling(3, "c", bags=10))
    found = blown(fillings=row, basis=basis())[row[1].entry]
    assert found.value == pytest.approx(14)
    assert found.u == pytest.approx(HALF_A_BAG * sqrt(2))
    assert 2 * found.u / 0.27 == pytest.approx(42, abs=0.5)


def test_a_chain_begins_empty_and_ends_empty_once_left_overs_are_counted() -> None:
    only = filling(1, bags=23)
    open_end = blown(fillings=(only,), basis=basis(run_empty_half_kg=1.0))[only.entry]
    ended = blown(fillings=(only,), basis=basis(run_empty_half_kg=1.0), ended_at=BEGINS + timedelta(hours=2))[
        only.entry
    ]
    assert open_end.value == pytest.approx(23 * 14 - 7)
    assert open_end.u == pytest.approx(sqrt(HALF_A_BAG**2 + 1 / 3))
    assert (ended.value, ended.u) == pytest.approx((23 * 14, sqrt(2 / 3)))


def test_what_was_left_before_the_last_fill_says_nothing_of_the_end() -> None:
    only = filling(3, bags=23)
    found = blown(fillings=(only,), basis=basis(), ended_at=BEGINS + timedelta(hours=2))[only.entry]
    assert found.u == pytest.approx(HALF_A_BAG)


def notes(lines: int) -> tuple[Filling, ...]:
    """23 bags into one wall between two others, in so many lines."""
    each = [filling(2 + number, "wall", bags=23 / lines) for number in range(lines)]
    return (filling(1, "before", bags=9), *each, filling(40, "after", bags=9))


@pytest.mark.parametrize("lines", [1, 2, 10])
def test_the_same_bags_are_known_as_well_in_ten_lines_as_in_one(lines: int) -> None:
    row = notes(lines)
    found = blown(fillings=row, basis=basis(bag(14, 0.1), spread_kg=0.2))
    wall = total(found[each.entry] for each in row if each.space == "wall")
    assert wall.value == pytest.approx(23 * 14)
    assert wall.u == pytest.approx(sqrt(2 * HALF_A_BAG**2 + (23 * 0.1) ** 2 + 23 * 0.2**2))


def test_lines_typed_in_one_sitting_of_one_part_need_no_order() -> None:
    row = notes(10)
    typed = tuple(
        replace(each, fill=replace(each.fill, happened_at=row[1].fill.happened_at))
        if each.space == "wall"
        else each
        for each in row
    )
    found = blown(fillings=typed, basis=basis())
    assert total(found[each.entry] for each in typed if each.space == "wall").u == pytest.approx(
        HALF_A_BAG * sqrt(2)
    )


def test_of_several_parts_typed_in_one_sitting_each_has_two_errors_of_its_own() -> None:
    """140 kg can't be blown in half a minute: the order is that of typing."""
    row = tuple(filling(1 + number / 120, f"space {number}", bags=10) for number in range(4))
    found = blown(fillings=row, basis=basis())
    assert [each.u for each in found.values()] == pytest.approx([HALF_A_BAG * sqrt(2)] * 4)
    assert total(found.values()).u == pytest.approx(HALF_A_BAG * sqrt(8))


def test_along_a_chain_what_one_leaves_the_next_one_takes() -> None:
    row = tuple(filling(1 + number, f"space {number}", bags=10) for number in range(4))
    found = blown(fillings=row, basis=basis(), ended_at=BEGINS + timedelta(hours=9))
    assert [each.u for each in found.values()] == pytest.approx(
        [HALF_A_BAG, HALF_A_BAG * sqrt(2), HALF_A_BAG * sqrt(2), HALF_A_BAG]
    )
    assert total(found.values()).u == pytest.approx(0, abs=1e-12)


def test_it_runs_on_overnight() -> None:
    evening, morning = filling(9, "a", bags=10), filling(24, "b", bags=10)
    found = blown(fillings=(evening, morning), basis=basis(), ended_at=BEGINS + timedelta(hours=30))
    assert total(found.values()).u == pytest.approx(0, abs=1e-12)


def test_a_change_of_material_ends_it_empty() -> None:
    row = (filling(1, "a", bags=10, material="fine"), filling(2, "b", bags=10, material="coarse"))
    found = blown(fillings=row, basis=basis(run_empty_half_kg=1.0))
    assert found[row[0].entry].u == pytest.approx(sqrt(2 / 3))


def test_a_fill_of_nobody_knows_which_material_ends_nothing() -> None:
    """Its neighbours may be of the same: nothing says that the machine was run empty between them."""
    row = (filling(1, "a", bags=10, material="fine"), filling(2, "b", bags=10))
    found = blown(fillings=row, basis=basis(run_empty_half_kg=1.0))
    assert [found[each.entry].u for each in row] == pytest.approx([HALF_A_BAG * sqrt(2)] * 2)


def test_each_fill_is_of_bags_of_its_own_material() -> None:
    row = (filling(1, "a", bags=10, material="CF-STD"), filling(2, "b", bags=10, material="fine"))
    known = basis()
    known = replace(known, bags={**known.bags, "fine": Bag(mean=bag(20.0), spread_kg=0.0)})
    found = blown(fillings=row, basis=known, ended_at=BEGINS + timedelta(hours=9))
    assert [each.value for each in found.values()] == [140, 200]


@pytest.mark.parametrize(("said", "u"), [({"run_empty": True}, 1.0), ({"hopper_kg": 3.0}, 0.5)])
def test_a_hopper_run_empty_or_read_is_known(said, u: float) -> None:
    row = (filling(1, "a", bags=2, **said), filling(2, "b", bags=1, run_empty=True))
    found = blown(fillings=row, basis=basis(run_empty_half_kg=1.0, hopper_half_kg=0.5))[row[1].entry]
    assert found.value == pytest.approx(14 + said.get("hopper_kg", 0.0))
    assert found.u == pytest.approx(sqrt((u**2 + 1.0**2) / 3))


def test_two_machines_are_two_chains() -> None:
    row = tuple(filling(1 + n / 10, f"{n}", bags=1, machine=name) for n, name in enumerate("ABAB"))
    found = blown(fillings=row, basis=basis(), ended_at=BEGINS + timedelta(hours=9))
    one = total(found[each.entry] for each in row if each.fill.machine == "A")
    assert one.u == pytest.approx(0, abs=1e-12)


def test_a_fill_that_names_no_machine_where_others_do_has_two_errors_of_its_own() -> None:
    row = (
        filling(1, "a", bags=2, machine="A"),
        filling(2, "b", bags=2),
        filling(3, "c", bags=2, machine="A"),
    )
    found = blown(fillings=row, basis=basis(), ended_at=BEGINS + timedelta(hours=9))
    assert found[row[1].entry].u == pytest.approx(HALF_A_BAG * sqrt(2))
    assert total((found[row[0].entry], found[row[2].entry])).u == pytest.approx(0, abs=1e-12)


def test_one_note_for_three_visits_has_their_errors_together() -> None:
    row = (filling(1, "a", bags=2), filling(2, "b", bags=20, visits=3))
    found = blown(fillings=row, basis=basis())[row[1].entry]
    assert (found.value, found.u) == pytest.approx((20 * 14, HALF_A_BAG * sqrt(6)))


def test_a_doubtful_clock_puts_a_fill_in_no_order() -> None:
    first, second = filling(1, "a", bags=2), filling(5, "b", bags=2)
    doubted = replace(second, fill=replace(second.fill, received_at=BEGINS.isoformat().replace("08", "10")))
    found = blown(fillings=(first, doubted), basis=basis())
    assert doubted.fill.clock_doubtful
    assert total(found.values()).u == pytest.approx(HALF_A_BAG * sqrt(3))


def test_a_machine_fed_whole_bags_holds_what_the_rule_says() -> None:
    """Bags of 14 kg emptied as the hopper runs low: the mass is off by what the chain says, 2 u in 100."""
    rng = numpy.random.default_rng(9)
    off = []
    held = 0.0
    for out_kg in rng.uniform(10, 60, 4000):
        bags = 0
        while held < out_kg:
            held, bags = held + 14, bags + 1
        held -= out_kg
        off.append(bags * 14 - out_kg)
    assert numpy.std(off) == pytest.approx(HALF_A_BAG * sqrt(2), rel=0.03)
    assert numpy.mean(off) == pytest.approx(0, abs=0.3)


def test_nothing_emptied_is_no_link() -> None:
    row = (filling(1, "a", bags=2), filling(2, "a", mass_kg=0.0, removed_kg=3.0))
    assert set(blown(fillings=row, basis=basis())) == {row[0].entry}
