from dataclasses import replace

import pytest

from service.engine.ground.vocabulary import Answer, Method
from service.engine.plan.hold_points import hold_points
from service.engine.site.entries import Answered, Checks
from service.engine.site.entry_faults import EntryFault, faults
from service.engine.site.holes_told import AddedHole, HolesMade, Patched
from service.engine.survey.practice import Reading
from tests import builders, site

PLANNED = tuple(site.planned(cavity) for cavity in (builders.wall(), builders.stud_wall(), builders.attic()))
HOLD_POINTS = hold_points(
    cavities=tuple(planned.cavity for planned in PLANNED), practice=builders.practice(), built_year=1900
)


def faults_of(*entries, planned=PLANNED, points=HOLD_POINTS):
    return faults(
        ledger=site.ledger(*entries), planned=planned, hold_points=points, practice=builders.practice()
    )


def pointers(*entries, **job) -> list[str]:
    found = faults_of(*entries, **job)
    assert all(site.words(fault.detail).endswith(".") for fault in found)
    return [fault.pointer for fault in found]


def test_a_ledger_that_fits_has_no_fault() -> None:
    assert (
        pointers(
            site.fill(bay=15, mass_kg=1),
            site.fill("W2", bags=1),
            site.tally("A1", bags=1, method=Method.OPEN_BLOW),
            site.tally("W1", bags=1, last_bay=15, method=None),
            site.bag_check(12.5, 12.6),
            site.core(70, bay=1),
            site.box(1000, cavity="W1"),
            site.hole("P1", bay=1),
            site.hole("P2", "A1"),
            site.patch("P1"),
            site.found("W1", depth_mm=(358.0,)),
            site.check("timber_moisture", "W1"),
            site.check("timber_moisture"),
            site.check("old_wiring"),
            *site.stock(3, 0),
            site.depth_check(360),
            site.air_test(),
            site.note("rain", cavity="W1"),
        )
        == []
    )


def test_a_fault_names_its_entry() -> None:
    wrong = site.fill("W9", mass_kg=1)
    (found,) = faults_of(site.fill(mass_kg=1), wrong)
    assert (found.pointer, found.entry) == ("/cavity", wrong.id)
    assert site.words(found.detail) == "This job has no part W9."
    assert isinstance(found, EntryFault)


@pytest.mark.parametrize(
    "entry",
    [
        site.fill("w1", mass_kg=1),
        site.tally("W9", mass_kg=1),
        site.core(70, "W9"),
        site.box(1000, cavity="W9"),
        site.hole("P1", "W9"),
        site.patch("P1", "W9"),
        site.found("W9", depth_mm=(300.0,)),
        site.note("rain", cavity="W9"),
        site.depth_check(300, cavity="W9"),
        site.depth_check(300, cavity="W1"),
        site.core(70, "A1", bay=1),
    ],
    ids=lambda entry: f"{type(entry).__name__} {entry.cavity}",
)
def test_an_entry_must_name_a_part_that_has_such_evidence(entry) -> None:
    assert pointers(entry) == ["/cavity"]


def test_spill_comes_from_parts_that_there_are() -> None:
    assert pointers(site.reclaimed(3, cavities=("W1", "W9", "w1"))) == ["/cavities/1", "/cavities/2"]


def test_an_open_blow_has_no_depth_of_its_own() -> None:
    assert pointers(site.found("A1", depth_mm=(300.0,))) == ["/depth_mm"]


@pytest.mark.parametrize("bay", [0, 16, -1])
def test_a_bay_must_be_there(bay: int) -> None:
    assert sorted(
        pointers(
            site.fill(bay=bay, mass_kg=1),
            site.core(70, bay=bay),
            site.hole(bay=bay),
            site.tally(last_bay=bay),
        )
    ) == ["/bay", "/bay", "/bay", "/last_bay"]
    added = HolesMade(added=(AddedHole(bay=1), AddedHole(bay=bay)))
    assert pointers(site.tally(holes=added)) == ["/holes/added/1/bay"]


def test_a_bay_that_is_all_opening_cannot_be_filled() -> None:
    only = PLANNED[1]
    planned = replace(only, compartments=only.compartments[1:])
    assert pointers(site.fill("W2", bay=1, mass_kg=1), planned=(planned,)) == ["/bay"]


def test_bays_that_nobody_counted_may_have_any_number() -> None:
    """Only the timber fraction is known: how many bays there are shows on the site."""
    planned = site.planned(builders.wall(layers=(builders.layer(350, builders.fraction()),)))
    entries = (site.fill(bay=7, mass_kg=1), site.core(70, bay=7))
    assert pointers(*entries, planned=(planned,)) == []


@pytest.mark.parametrize(
    ("cavity", "method"), [("W1", Method.OPEN_BLOW), ("A1", Method.LANCE), ("A1", Method.HOSE)]
)
def test_a_method_must_suit_the_kind_of_fill(cavity: str, method: Method) -> None:
    assert pointers(site.fill(cavity, mass_kg=1, method=method)) == ["/method"]


def test_a_tag_belongs_to_one_hole_of_its_part() -> None:
    """Tags belong to the part, so that two phones in two parts never clash."""
    twice = (site.hole("P1"), site.hole("P1"), site.hole("P1", "W2"), site.hole("P2"))
    found = faults_of(*twice)
    assert [(fault.entry, fault.pointer) for fault in found] == [
        (twice[0].id, "/tag"),
        (twice[1].id, "/tag"),
    ]


def test_a_number_is_one_of_the_plan() -> None:
    planned = (site.planned(builders.wall(), holes=6),)
    of_tally = site.tally(holes=HolesMade(omitted=(2, 9)), patched=Patched(all_but=(7,)))
    found = pointers(
        site.hole(None, number=7),
        site.hole(None, number=6),
        site.patch(None, number=8),
        of_tally,
        planned=planned,
    )
    assert found == ["/number", "/number", "/holes/omitted/1", "/patched/all_but/0"]


def test_a_patch_may_come_before_its_hole() -> None:
    assert pointers(site.patch("P7")) == []


@pytest.mark.parametrize(
    ("answer", "pointer"),
    [
        (site.check("no_such_point"), "/code"),
        (site.check("timber_moisture", "W9"), "/cavity"),
        (site.check("recessed_luminaires", "W1"), "/cavity"),
        (site.check("old_wiring", "W1"), "/cavity"),
        (site.check("old_wiring", reading=3.0), "/reading"),
    ],
    ids=["unknown", "unknown part", "not asked of this part", "asked of the whole job", "asks for no number"],
)
def test_an_answer_must_belong_to_a_hold_point(answer, pointer: str) -> None:
    assert pointers(answer) == [pointer]


MOISTURE = tuple(replace(each, reading=Reading(unit="%", most=20.0)) for each in HOLD_POINTS)


@pytest.mark.parametrize(
    ("reading", "answer", "expected"),
    [
        (35.0, Answer.CLEAR, ["/answer"]),
        (20.0, Answer.CLEAR, []),
        (35.0, Answer.NOT_APPLICABLE, ["/answer"]),
        (None, Answer.NOT_APPLICABLE, []),
        (35.0, Answer.STOPPED, []),
        (35.0, Answer.DEALT_WITH, []),
        (None, Answer.CLEAR, []),
    ],
)
def test_a_reading_beyond_its_limit_is_not_clear(reading, answer: Answer, expected: list[str]) -> None:
    """35 % timber moisture is not clear where at most 20 % are; a reading that is missing is a condition."""
    check = site.check("timber_moisture", "W1", reading=reading, answer=answer)
    found = faults_of(check, points=MOISTURE)
    assert [each.pointer for each in found] == expected
    assert all("20" in site.words(each.detail) and "35" in site.words(each.detail) for each in found)


def test_one_screen_answers_general_points_only() -> None:
    general = replace(HOLD_POINTS[0], code="dust")
    alone = replace(general, code="flues", single=True)
    measured = replace(general, code="moisture", reading=Reading(unit="%", most=20.0))
    codes = ("dust", "flues", "moisture", "nothing", "dust")
    points = tuple(Answered(code=code, answer=Answer.CLEAR) for code in codes)
    found = pointers(Checks(points=points, **site.said()), points=(general, alone, measured))
    assert found == [f"/points/{index}/code" for index in (0, 1, 2, 3, 4)]
    assert pointers(Checks(points=points[:1], **site.said()), points=(general, alone, measured)) == []


def test_bays_are_those_that_were_found() -> None:
    """Ten bays were drawn; twelve members were counted: eleven. With nine members there are eight."""

    def of(members: int, bay: int) -> list[str]:
        places = tuple(round(number * 5.955 / (members - 1), 3) for number in range(members))
        told = site.found("W2", members_at_m=places)
        return pointers(told, site.fill("W2", minute=9, bay=bay, mass_kg=1))

    assert [of(12, 11), of(12, 12), of(9, 8), of(9, 9)] == [[], ["/bay"], [], ["/bay"]]
