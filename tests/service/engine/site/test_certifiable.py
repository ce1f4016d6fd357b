"""What stands in the way of a certificate for some parts, and what it says at a glance."""

from dataclasses import replace

import pytest

from service.engine.ground.vocabulary import ConditionCode, Stage, Standing
from service.engine.plan.hold_points import HoldPoint
from service.engine.site.assessment import Assessment
from service.engine.site.certifiable import certifiable
from service.engine.site.concessions import Concession
from tests import builders, site

WALL, FLOOR = site.planned(site.one_bay()), site.planned(builders.floor())
PLANNED = (WALL, FLOOR)


def point(stage: Stage, *, safety: bool, cavity: str | None = None) -> HoldPoint:
    """A hold point that nobody answered."""
    return HoldPoint(
        code=f"{stage.value}-{safety}",
        stage=stage,
        text="Look.",
        cavity=cavity,
        safety=safety,
        single=False,
        crews=False,
        reading=None,
        source="demo firm",
        standing=Standing.DECLARED,
    )


POINTS = tuple(point(stage, safety=safety) for stage in Stage for safety in (False, True))


@pytest.fixture(scope="module")
def found() -> Assessment:
    """A filled wall, a floor that nobody filled, and open points of the whole job."""
    return site.assessed(
        *PLANNED, hold_points=POINTS, entries=(site.fill("W1", mass_kg=20), site.reclaimed(0))
    )


def codes(found: Assessment, *parts: str, elsewhere: str = "") -> set[tuple[str, str]]:
    """What is unmet of these parts, while another one has a certificate."""
    what = certifiable(
        planned=PLANNED,
        assessment=found,
        concessions=(),
        parts=frozenset(parts),
        elsewhere=frozenset(filter(None, [elsewhere])),
    )
    return {(each.code.value, each.subject) for each in what.unmet if each.cavity is None}


def test_stock_and_after_work_points_wait_for_what_completes_the_job(found: Assessment) -> None:
    each = {("hold_point_open", code) for code in ("before-False", "before-True", "after-True")}
    last = {("hold_point_open", "after-False"), ("stock_unreconciled", "stock")}
    assert codes(found, "W1") == each
    assert codes(found, "W1", elsewhere="F1") == each | last
    assert codes(found, "W1", "F1") == each | last


def test_conditions_of_other_parts_do_not_count(found: Assessment) -> None:
    what = certifiable(
        planned=PLANNED,
        assessment=found,
        concessions=(),
        parts=frozenset({"W1"}),
        elsewhere=frozenset(),
    )
    assert {each.cavity for each in what.unmet} <= {None, "W1"}
    assert [each.label for each in what.assessment.cavities] == ["W1"]


def test_what_was_not_filled_is_no_part_even_where_it_is_asked_for(found: Assessment) -> None:
    what = certifiable(
        planned=PLANNED,
        assessment=found,
        concessions=(),
        parts=frozenset({"W1", "F1"}),
        elsewhere=frozenset(),
    )
    assert [each.cavity for each in what.outcome.parts] == ["W1"]
    assert [(each.cavity, each.filled) for each in what.outcome.not_part] == [("F1", False)]
    assert [each.label for each in what.assessment.cavities] == ["W1"]
    assert ConditionCode.FILL_MISSING in {each.code for each in what.unmet}


def test_only_concessions_that_are_needed_are_named(found: Assessment) -> None:
    needed = Concession(
        condition=ConditionCode.STOCK_UNRECONCILED,
        cavity=None,
        subjects=("stock",),
        reason="No scale.",
        granted_by="Office",
        granted_at="2026-11-25T12:00:00Z",
    )
    in_vain = replace(needed, condition=ConditionCode.MARKERS_MISSING, cavity="A1")
    what = certifiable(
        planned=PLANNED,
        assessment=found,
        concessions=(needed, in_vain),
        parts=frozenset({"W1"}),
        elsewhere=frozenset({"F1"}),
    )
    assert what.concessions == (needed,)
    assert [each.condition for each in what.outcome.concessions] == [needed.condition]
    assert ConditionCode.STOCK_UNRECONCILED not in {each.code for each in what.unmet}


def test_no_r_and_no_u_are_told_of_what_was_not_filled(found: Assessment) -> None:
    wall, floor = found.as_found
    assert wall.r_fill is not None
    assert (floor.r_fill, floor.u_value_w_m2k) == (None, None)


def test_a_day_without_word_of_its_spill_is_in_the_way_of_what_was_filled_on_it() -> None:
    """The wall on Monday, of whose spill nobody said a word; the floor on Tuesday, of whose somebody did."""
    tuesday = "2026-11-24T10:00:00Z"
    told = site.assessed(
        *PLANNED,
        entries=(
            site.fill("W1", mass_kg=20),
            site.fill("F1", mass_kg=200, happened_at=tuesday),
            site.reclaimed(0, happened_at=tuesday),
        ),
    )
    unsaid = ("spill_missing", "2026-11-23")
    assert unsaid in codes(told, "W1")
    assert unsaid in codes(told, "W1", "F1")
    assert unsaid not in codes(told, "F1")
    assert unsaid not in codes(told, "F1", elsewhere="W1")
    assert {code for code, _ in codes(told, "F1")} <= {"uncertainty_undeclared"}
