"""Hold points and their answers, first and last, against the first fill of what they are about."""

from dataclasses import replace

from service.engine.ground.vocabulary import Answer, BagsAre, Element, Stage, Standing
from service.engine.plan.hold_points import hold_points
from service.engine.site.entries import Answered, Check, Checks
from service.engine.site.hold_point_findings import HoldPointFinding, hold_point_findings
from service.engine.site.ledger import Ledger
from service.engine.survey.practice import HoldPointRule, Reading
from tests import builders, site

CAVITIES = (builders.wall(), site.one_bay(label="B1"), builders.floor())
AFTER = HoldPointRule(
    code="cleaned_up",
    stage=Stage.AFTER,
    text="Nothing that can catch fire was left behind.",
    source="common practice",
    standing=Standing.COMMON_PRACTICE,
)
OF_FLOORS = HoldPointRule(
    code="safe_ceiling",
    stage=Stage.BEFORE,
    text="The ceilings bear the fill.",
    elements=(Element.FLOOR,),
    source="common practice",
    standing=Standing.COMMON_PRACTICE,
)
PRACTICE = builders.practice(hold_points=(*builders.practice().hold_points, AFTER, OF_FLOORS))
POINTS = hold_points(cavities=CAVITIES, practice=PRACTICE, built_year=1900)

Found = dict[tuple[str, str | None], HoldPointFinding]


def found_of(*answers: Check | Checks, fills=()) -> Found:
    ledger = Ledger(entries=(*answers, *fills)).in_order()
    found = hold_point_findings(hold_points=POINTS, cavities=CAVITIES, practice=PRACTICE, ledger=ledger)
    return {(each.code, each.cavity): each for each in found}


def late(found: Found) -> set[tuple[str, str | None]]:
    return {key for key, each in found.items() if each.late}


def test_a_hold_point_has_its_last_answer() -> None:
    found = found_of(
        site.check("timber_moisture", "W1", 30, answer=Answer.DEALT_WITH, reading=17.0),
        site.check("timber_moisture", "W1", 10),
    )
    answered = found["timber_moisture", "W1"]
    assert (answered.answer, answered.reading) == (Answer.DEALT_WITH, 17.0)
    assert answered.first_answered_at < answered.happened_at
    assert found["timber_moisture", "B1"].answer is None
    assert (found["old_wiring", None].answer, found["old_wiring", None].happened_at) == (None, None)


def test_an_answer_for_the_whole_job_covers_cavities_without_their_own() -> None:
    found = found_of(
        site.check("timber_moisture", None, 30),
        site.check("timber_moisture", "W1", 10, answer=Answer.DEALT_WITH),
    )
    answers = {cavity: found["timber_moisture", cavity].answer for cavity in ("W1", "B1")}
    assert answers == {"W1": Answer.DEALT_WITH, "B1": Answer.CLEAR}


def test_only_an_answer_after_the_first_fill_of_its_own_cavity_is_late() -> None:
    fills = (site.fill("B1", 40, mass_kg=20), site.fill("W1", 20, mass_kg=20), site.fill("W1", 60, mass_kg=9))
    found = found_of(*(site.check("timber_moisture", label, 30) for label in ("W1", "B1", "F1")), fills=fills)
    assert late(found) == {("timber_moisture", "W1")}
    assert found["timber_moisture", "W1"].first_filled_at == fills[1].happened_at
    assert found["timber_moisture", "F1"].first_filled_at is None


def test_a_total_that_is_told_later_does_not_make_an_answer_timely() -> None:
    fills = (
        site.fill("W1", 20, mass_kg=20),
        site.tally("W1", 60, mass_kg=25, bags_are=BagsAre.TOTAL),
    )
    found = found_of(site.check("timber_moisture", "W1", 30), fills=fills)
    assert late(found) == {("timber_moisture", "W1")}
    assert found["timber_moisture", "W1"].first_filled_at == fills[0].happened_at


def test_it_was_in_time_that_was_answered_at_the_moment_of_the_fill_or_once_before_it() -> None:
    fill = site.fill("W1", 20, mass_kg=20)
    assert late(found_of(site.check("timber_moisture", "W1", 20), fills=(fill,))) == set()
    twice = (site.check("timber_moisture", "W1", 90), site.check("timber_moisture", "W1", 10))
    assert late(found_of(*twice, fills=(fill,))) == set()
    of_all = (site.check("timber_moisture", "W1", 90), site.check("timber_moisture", None, 10))
    assert late(found_of(*of_all, fills=(fill,))) == set()


def test_what_was_stopped_was_not_answered_in_time() -> None:
    """A stop is no leave to fill: to stop and fill all the same is no better than to say nothing."""
    fill = site.fill("W1", 20, mass_kg=20)
    stop = site.check("timber_moisture", "W1", 10, answer=Answer.STOPPED)
    earlier, clear = (site.check("timber_moisture", "W1", minute) for minute in (5, 40))
    for answers in ((stop, clear), (earlier, stop, clear)):
        found = found_of(*answers, fills=(fill,))
        assert late(found) == {("timber_moisture", "W1")}
        assert found["timber_moisture", "W1"].first_answered_at == clear.happened_at
    dealt_with = site.check("timber_moisture", "W1", 15, answer=Answer.DEALT_WITH)
    assert late(found_of(stop, dealt_with, clear, fills=(fill,))) == set()


def test_the_order_of_arrival_says_nothing() -> None:
    """Entries of several phones come late: what counts is when they were made."""
    fill, answer = site.fill("W1", 20, mass_kg=20), site.check("timber_moisture", "W1", 30)
    early = site.check("timber_moisture", "W1", 10)
    assert early.id > answer.id > fill.id
    assert late(found_of(answer, early, fills=(fill,))) == set()
    assert late(found_of(answer, fills=(fill,))) == {("timber_moisture", "W1")}


def test_moments_are_compared_not_their_text() -> None:
    """RFC 3339: 08:20:00Z and 08:20:00.000Z are one moment, though one text sorts before the other."""
    fill = site.fill("W1", mass_kg=20, happened_at="2026-11-23T08:20:00Z")
    same = site.check("timber_moisture", "W1", happened_at="2026-11-23T08:20:00.000Z")
    assert late(found_of(same, fills=(fill,))) == set()
    after = site.check("timber_moisture", "W1", happened_at="2026-11-23T08:20:00.001Z")
    assert late(found_of(after, fills=(fill,))) == {("timber_moisture", "W1")}


def test_a_point_of_the_whole_job_waits_for_the_first_fill_of_what_it_is_about() -> None:
    wall, floor = site.fill("W1", 20, mass_kg=20), site.fill("F1", 60, mass_kg=20)
    answers = (site.check("old_wiring", None, 40), site.check("safe_ceiling", None, 40))
    found = found_of(*answers, fills=(wall, floor))
    assert late(found) == {("old_wiring", None)}
    assert found["safe_ceiling", None].first_filled_at == floor.happened_at


def test_what_is_due_after_filling_is_never_late() -> None:
    assert late(found_of(site.check("cleaned_up", None, 90), fills=(site.fill(mass_kg=20),))) == set()


def test_one_screen_answers_the_points_that_are_on_it() -> None:
    """As a toolbox talk is signed: several points, one person, one moment."""
    points = (
        Answered(code="old_wiring", answer=Answer.NOT_APPLICABLE),
        Answered(code="safe_ceiling", answer=Answer.CLEAR),
    )
    found = found_of(Checks(points=points, **site.said(10)), site.check("cleaned_up", minute=90))
    together = {code: each.together for (code, cavity), each in found.items() if each.answer}
    assert together == {"old_wiring": True, "safe_ceiling": True, "cleaned_up": False}
    assert found["old_wiring", None].answer is Answer.NOT_APPLICABLE


def test_a_stop_of_the_whole_job_goes_before_what_a_part_said_earlier() -> None:
    """Silence is never better than saying: a later stop is not hidden by an earlier clearance."""
    clear = site.check("timber_moisture", "W1", 10)
    stop = site.check("timber_moisture", None, 20, answer=Answer.STOPPED)
    assert found_of(clear, stop)["timber_moisture", "W1"].answer is Answer.STOPPED
    anew = site.check("timber_moisture", "W1", 30)
    found = found_of(clear, stop, anew)
    assert found["timber_moisture", "W1"].answer is Answer.CLEAR
    assert found["timber_moisture", "B1"].answer is Answer.STOPPED


def test_a_point_that_asks_for_a_number_lacks_it_until_it_is_read() -> None:
    limit = Reading(unit="%", most=20.0)
    point = replace(POINTS[0], reading=limit)

    def lacks(**fields) -> bool:
        ledger = Ledger(entries=(site.check(point.code, point.cavity, **fields),))
        (found,) = hold_point_findings(
            hold_points=(point,), cavities=CAVITIES, practice=PRACTICE, ledger=ledger
        )
        return found.lacks_reading

    assert lacks()
    assert lacks(answer=Answer.DEALT_WITH)
    assert not lacks(reading=17.0)
    assert not lacks(answer=Answer.NOT_APPLICABLE)
    assert not lacks(answer=Answer.STOPPED)
