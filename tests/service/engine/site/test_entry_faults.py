from dataclasses import replace

import pytest

from service.engine.ground.vocabulary import Method
from service.engine.plan.hold_points import hold_points
from service.engine.site.entry_faults import EntryFault, faults
from service.engine.site.ledger import Ledger
from tests import builders, site

PLANNED = tuple(site.planned(cavity) for cavity in (builders.wall(), builders.stud_wall(), builders.attic()))
HOLD_POINTS = hold_points(
    cavities=tuple(planned.cavity for planned in PLANNED), practice=builders.practice(), built_year=1900
)


def pointers(planned=PLANNED, **entries) -> list[str]:
    found = faults(ledger=Ledger(**entries), planned=planned, hold_points=HOLD_POINTS)
    assert all(fault.detail.endswith(".") for fault in found)
    return [fault.pointer for fault in found]


def test_a_ledger_that_fits_has_no_fault() -> None:
    assert (
        pointers(
            fills=(
                site.fill(bay=15, mass_kg=1),
                site.fill("W2", bags=1),
                site.fill("A1", bags=1, method=Method.OPEN_BLOW),
            ),
            bag_checks=(site.bag_check(12.5, 12.6),),
            samples=(site.core(70, bay=1),),
            penetrations=(site.penetration("P1", bay=1), site.penetration("P2", "A1")),
            patches=(site.patch("P1"),),
            answers=(
                site.answer("timber_moisture", "W1"),
                site.answer("timber_moisture"),
                site.answer("old_wiring"),
            ),
            stocks=(site.stock(3, 0),),
            depth_checks=(site.depth_check(360),),
            air_tests=(site.air_test(),),
        )
        == []
    )


def test_a_fault_names_its_entry() -> None:
    wrong = site.fill("W9", mass_kg=1)
    found = faults(ledger=Ledger(fills=(site.fill(mass_kg=1), wrong)), planned=PLANNED, hold_points=())
    assert found == (EntryFault("/cavity", "This job has no cavity W9.", wrong.entry),)


@pytest.mark.parametrize(
    "entries",
    [
        {"fills": (site.fill("w1", mass_kg=1),)},
        {"samples": (site.core(70, "W9"),)},
        {"penetrations": (site.penetration("P1", "W9"),)},
        {"depth_checks": (site.depth_check(300, cavity="W9"),)},
        {"depth_checks": (site.depth_check(300, cavity="W1"),)},
        {"samples": (site.core(70, "A1", bay=1),)},
    ],
    ids=["fill", "sample", "penetration", "depth check", "depths of a tight fill", "core of an open blow"],
)
def test_an_entry_must_name_a_cavity_that_has_such_evidence(entries) -> None:
    assert pointers(**entries) == ["/cavity"]


@pytest.mark.parametrize("bay", [0, 16, -1])
def test_a_bay_must_be_there(bay: int) -> None:
    assert (
        pointers(
            fills=(site.fill(bay=bay, mass_kg=1),),
            samples=(site.core(70, bay=bay),),
            penetrations=(site.penetration(bay=bay),),
        )
        == ["/bay"] * 3
    )


def test_a_bay_that_is_all_opening_cannot_be_filled() -> None:
    only = PLANNED[1]
    planned = replace(only, compartments=only.compartments[1:])
    assert pointers((planned,), fills=(site.fill("W2", bay=1, mass_kg=1),)) == ["/bay"]


def test_bays_that_nobody_counted_may_have_any_number() -> None:
    """Only the timber fraction is known: how many bays there are shows on the site."""
    planned = site.planned(builders.wall(layers=(builders.layer(200, builders.fraction()),)))
    assert pointers((planned,), fills=(site.fill(bay=7, mass_kg=1),), samples=(site.core(70, bay=7),)) == []


def test_a_sample_must_name_its_bay_where_there_are_several() -> None:
    assert pointers(samples=(site.core(70, bay=None),)) == ["/bay"]
    assert pointers((site.planned(site.one_bay()),), samples=(site.core(70, bay=None),)) == []


@pytest.mark.parametrize(
    ("cavity", "method"), [("W1", Method.OPEN_BLOW), ("A1", Method.LANCE), ("A1", Method.HOSE)]
)
def test_a_method_must_suit_the_kind_of_fill(cavity: str, method: Method) -> None:
    assert pointers(fills=(site.fill(cavity, mass_kg=1, method=method),)) == ["/method"]


def test_a_tag_belongs_to_one_penetration() -> None:
    twice = (site.penetration("P1"), site.penetration("P1", "W2"), site.penetration("P2"))
    found = faults(ledger=Ledger(penetrations=twice), planned=PLANNED, hold_points=())
    assert [(fault.entry, fault.pointer) for fault in found] == [
        (twice[0].entry, "/tag"),
        (twice[1].entry, "/tag"),
    ]


def test_a_patch_may_come_before_its_penetration() -> None:
    assert pointers(patches=(site.patch("P7"),)) == []


@pytest.mark.parametrize(
    ("answer", "pointer"),
    [
        (site.answer("no_such_point"), "/code"),
        (site.answer("timber_moisture", "W9"), "/cavity"),
        (site.answer("recessed_luminaires", "W1"), "/cavity"),
        (site.answer("old_wiring", "W1"), "/cavity"),
    ],
    ids=["unknown", "unknown cavity", "not asked of this cavity", "asked of the whole job"],
)
def test_an_answer_must_belong_to_a_hold_point(answer, pointer: str) -> None:
    assert pointers(answers=(answer,)) == [pointer]
