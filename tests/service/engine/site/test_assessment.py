import json
from dataclasses import replace
from itertools import chain
from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.engine.ground.vocabulary import Answer, BagsAre, ConditionCode, Feel, Method, Verdict
from service.engine.plan.hold_points import hold_points
from service.engine.site.assessment import Assessment
from service.engine.site.entries import Reclaimed
from service.engine.survey.practice import Practice
from service.usecases.base.json import from_json, to_json
from tests import builders, site
from tests.calls import calls

WALL, BAY, ATTIC = (
    site.planned(cavity, holes=holes)
    for cavity, holes in ((builders.wall(), 15), (site.one_bay(label="B1"), 1), (builders.attic(), 0))
)
FIRM = builders.practice()
PRACTICE = replace(FIRM, decision=replace(FIRM.decision, contradiction_decides=True))
POINTS = hold_points(
    cavities=tuple(each.cavity for each in (WALL, BAY, ATTIC)), practice=PRACTICE, built_year=1950
)
BAGS = (12.5, 12.6, 12.4, 12.55, 12.45, 12.5)
DONE = {
    "tallies": (site.tally(minute=50), site.tally("B1", minute=50)),
    "fills": (
        *(site.fill(bay=bay, minute=bay, mass_kg=60 * 8.322192 / 15, run_empty=True) for bay in range(1, 16)),
        site.fill("B1", mass_kg=24.2, run_empty=True),
        site.fill("A1", bags=65, method=Method.OPEN_BLOW, run_empty=True),
    ),
    "bag_checks": (site.bag_check(*BAGS),),
    "samples": tuple(site.core(79.5, bay=bay) for bay in (2, 8, 15)),
    "holes": (site.hole("P1", minute=55), site.hole("P2", "B1", minute=55)),
    "patches": (site.patch("P2", "B1", minute=56), site.patch("P1", minute=56)),
    "answers": tuple(site.check(point.code, point.cavity) for point in POINTS),
    "stock": site.stock(120, 13),
    "depth_checks": (site.depth_check(360, 364, 356, 368, 352, 360),),
    "air_tests": (site.air_test(),),
}


def of_job(practice: Practice = PRACTICE, **entries) -> Assessment:
    told = tuple(chain.from_iterable(entries.values()))
    return site.assessed(WALL, BAY, ATTIC, entries=told, hold_points=POINTS, practice=practice)


def codes(found: Assessment) -> set[ConditionCode]:
    return {condition.code for condition in found.conditions}


def test_a_job_with_all_its_evidence_is_ready() -> None:
    found = of_job(**DONE)
    assert found.conditions == ()
    assert found.ready
    assert {cavity.label: cavity.verdict for cavity in found.cavities} == dict.fromkeys(
        ("W1", "B1", "A1"), Verdict.CONFORMING
    )
    assert [each.reconciled for each in found.stock] == [True]
    assert [each.weighed for each in found.bag_masses] == [6]
    assert [(each.cavity, each.made, each.others, each.closed) for each in found.holes] == [
        ("W1", 16, 3, 19),
        ("B1", 2, 0, 2),
        ("A1", 0, 0, 0),
    ]


def test_an_empty_ledger_lacks_everything_that_can_be_missing() -> None:
    found = of_job()
    assert codes(found) == {
        ConditionCode.FILL_MISSING,
        ConditionCode.SAMPLES_MISSING,
        ConditionCode.HOLD_POINT_OPEN,
        ConditionCode.STOCK_UNRECONCILED,
        ConditionCode.DEPTH_CHECK_MISSING,
        ConditionCode.MARKERS_MISSING,
    }
    assert not found.ready
    assert (found.mass_kg, found.expanded_u_mass_kg, found.stock) == (0, 0, ())


@pytest.mark.parametrize(
    ("changed", "code", "cavity"),
    [
        ({"fills": DONE["fills"][:-1]}, ConditionCode.FILL_MISSING, "A1"),
        (
            {"fills": (*DONE["fills"], site.fill("B1", mass_kg=8, run_empty=True))},
            ConditionCode.DENSITY_NON_CONFORMING,
            "B1",
        ),
        (
            {"fills": (*DONE["fills"], site.fill("B1", mass_kg=0, removed_kg=4.0))},
            ConditionCode.DENSITY_INCONCLUSIVE,
            "B1",
        ),
        (
            {"samples": (*DONE["samples"], site.block(9 * 68, "B1"))},
            ConditionCode.DENSITY_CONTRADICTION,
            "B1",
        ),
        ({"samples": DONE["samples"][1:]}, ConditionCode.SAMPLES_MISSING, "W1"),
        (
            {"samples": (*DONE["samples"], site.core(79.5, feel=Feel.GIVES_WAY))},
            ConditionCode.DENSITY_NON_CONFORMING,
            "W1",
        ),
        ({"patches": DONE["patches"][1:]}, ConditionCode.PATCH_MISSING, "B1"),
        (
            {"patches": (*DONE["patches"], site.patch("P2", "B1", minute=60, width_mm=80))},
            ConditionCode.PATCH_TOO_SMALL,
            "B1",
        ),
        ({"answers": DONE["answers"][1:]}, ConditionCode.HOLD_POINT_OPEN, "W1"),
        ({"stock": site.stock(140, 13)}, ConditionCode.STOCK_UNRECONCILED, None),
        ({"stock": site.stock(120, 13)[:2]}, ConditionCode.SPILL_MISSING, None),
        ({"stock": (*site.stock(120, 13), site.delivery(bags=1))}, ConditionCode.LOT_MISSING, None),
        ({"tallies": DONE["tallies"][:1]}, ConditionCode.HOLES_UNACCOUNTED, "B1"),
        ({"tallies": (*DONE["tallies"], site.tally("B1", minute=51))}, ConditionCode.COUNTED_TWICE, "B1"),
        ({"tallies": (site.tally(), site.tally("B1", minute=50, bags=1))}, ConditionCode.COUNTED_TWICE, "B1"),
        (
            {"answers": (*DONE["answers"], site.check("old_wiring", minute=90, answer=Answer.STOPPED))},
            ConditionCode.CHECK_STOPPED,
            None,
        ),
        (
            {"fills": (*DONE["fills"], site.fill("B1", mass_kg=8, run_empty=True))},
            ConditionCode.LOADING_EXCEEDED,
            "B1",
        ),
        ({"depth_checks": (site.depth_check(360, 362),)}, ConditionCode.DEPTH_CHECK_MISSING, "A1"),
        (
            {"depth_checks": (replace(DONE["depth_checks"][0], markers=2),)},
            ConditionCode.MARKERS_MISSING,
            "A1",
        ),
    ],
)
def test_every_condition_comes_of_what_is_wrong(changed, code: ConditionCode, cavity: str | None) -> None:
    found = of_job(**(DONE | changed))
    assert (code, cavity) in {(each.code, each.cavity) for each in found.conditions}
    assert not found.ready
    for condition in found.conditions:
        assert site.words(condition.detail).endswith(".")
        assert site.words(condition.remedy).endswith(".")


NEVER = {
    ConditionCode.FILL_MISSING,
    ConditionCode.HOLES_UNACCOUNTED,
    ConditionCode.COUNTED_TWICE,
    ConditionCode.PATCH_MISSING,
    ConditionCode.SPILL_MISSING,
    ConditionCode.CHECK_STOPPED,
    ConditionCode.READING_MISSING,
    ConditionCode.UNCERTAINTY_UNDECLARED,
}


def test_what_every_job_must_say_is_beyond_a_concession() -> None:
    twice = (*DONE["fills"], site.tally("B1", bags=2, holes=None, patched=None))
    stop, hole = site.check("old_wiring", answer=Answer.STOPPED), site.hole("P1")
    found = of_job(fills=twice, answers=(stop,), holes=(hole,))
    for condition in found.conditions:
        fixed = condition.code in NEVER or condition.code is ConditionCode.HOLD_POINT_OPEN
        assert condition.concedable is not fixed, condition.code
    assert {each.code for each in found.conditions} >= {
        ConditionCode.HOLES_UNACCOUNTED,
        ConditionCode.COUNTED_TWICE,
        ConditionCode.PATCH_MISSING,
        ConditionCode.SPILL_MISSING,
        ConditionCode.CHECK_STOPPED,
        ConditionCode.HOLD_POINT_OPEN,
    }


@settings(max_examples=25, deadline=None)
@given(order=st.randoms(use_true_random=False))
def test_the_order_of_entries_changes_nothing(order) -> None:
    """Entries come late and from several phones."""
    entries = DONE | {
        "fills": (*DONE["fills"], site.fill(bay=2, minute=70, bags=1)),
        "patches": (*DONE["patches"], site.patch("P1", minute=90, width_mm=60)),
        "stock": (*DONE["stock"], site.delivery(95, bags=3, left_over=11), site.reclaimed(4.5, 95)),
        "answers": (*DONE["answers"], site.check("timber_moisture", "W1", 40, remark="again")),
    }
    expected = of_job(**entries)
    told = list(chain.from_iterable(entries.values()))
    assert of_job(all=order.sample(told, len(told))) == expected


def test_a_total_that_says_no_more_asks_for_no_word_of_spill() -> None:
    """All was blown on Monday: Tuesday's total makes no day of filling, for words as for kilograms."""
    monday = site.fill("W1", bags=20)
    morning = site.reclaimed(8, happened_at="2026-11-24T07:00:00Z")

    def unsaid(kg: float, swept: Reclaimed) -> list[str]:
        total = {"mass_kg": kg, "bags_are": BagsAre.TOTAL, "happened_at": "2026-11-24T16:00:00Z"}
        found = site.assessed(WALL, entries=(monday, site.tally("W1", **total), swept))
        return [each.subject for each in found.conditions if each.code is ConditionCode.SPILL_MISSING]

    said = 20 * builders.material().bag_kg
    assert unsaid(said, morning) == []
    assert unsaid(said, site.reclaimed(8)) == []
    assert unsaid(said + 50, morning) == ["2026-11-23"]
    assert unsaid(said + 50, site.reclaimed(8)) == ["2026-11-24"]


def test_inputs_that_cavities_share_stay_correlated_in_the_total() -> None:
    """65 and 3 bags of one mean bag, one scale for 16 weighings and the bag check, a machine run empty.

    Adding the cavities' own uncertainties in squares would say less than there is.
    """
    fills = (*DONE["fills"], site.fill("B1", bags=3, run_empty=True))
    errors = PRACTICE.uncertainties
    weighing = replace(errors.weighing, scale_half_kg=0.05, run_empty_half_kg=0.0)
    exact = replace(PRACTICE, uncertainties=replace(errors, weighing=weighing))
    found = of_job(exact, **(DONE | {"fills": fills, "stock": site.stock(120, 13)[:2]}))
    (bag,), scale = found.bag_masses, 0.05 / sqrt(3)
    type_a = sqrt(bag.u_kg**2 - scale**2)
    spread = bag.spread_kg * sqrt(65 + 3)
    expected = sqrt((68 * type_a) ** 2 + ((16 + 68) * scale) ** 2 + spread**2)
    assert found.expanded_u_mass_kg == pytest.approx(2 * expected, rel=1e-9)
    apart = sqrt(sum(cavity.expanded_u_mass_kg**2 for cavity in found.cavities))
    assert found.expanded_u_mass_kg > apart


def test_the_mass_of_the_job_is_that_of_its_cavities() -> None:
    found = of_job(**DONE)
    assert found.mass_kg == pytest.approx(sum(cavity.mass_kg for cavity in found.cavities))


def test_an_assessment_goes_through_json_and_back() -> None:
    found = of_job(**DONE)
    stored = json.loads(json.dumps(to_json(found), allow_nan=False))
    assert from_json(Assessment, stored) == found


def test_a_part_more_takes_as_much_however_many_there_are() -> None:
    """Counted in calls of functions: whatever goes through all entries for each part would show."""

    def taken(parts: int) -> int:
        cavities = tuple(site.planned(site.one_bay(label=f"B{place}")) for place in range(parts))
        labels = [each.cavity.label for each in cavities]
        points = hold_points(
            cavities=tuple(each.cavity for each in cavities), practice=PRACTICE, built_year=1950
        )
        told = (
            entry
            for label in labels
            for entry in (site.fill(label, bay=1, mass_kg=4), site.core(79, label), site.tally(label))
        )
        answered = tuple(site.check(each.code, each.cavity) for each in points)
        entries = (*told, *answered, *site.stock(parts, 0))
        return calls(lambda: site.assessed(*cavities, entries=entries, hold_points=points))

    taken(1)  # what is worked out once is kept
    few, more, many = taken(20), taken(40), taken(60)
    assert many - more <= 1.02 * (more - few)
