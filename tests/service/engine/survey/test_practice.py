"""What a contractor works by: readings held against their limits, and no default for what he measures."""

from dataclasses import fields
from statistics import NormalDist

import pytest

from service.engine.ground.vocabulary import Method
from service.engine.survey import practice as known
from service.engine.survey.practice import LEAST_GUARD_FACTOR, Decision, Practice, Reading
from service.engine.survey.sourced import Sourced
from tests.builders import practice


@pytest.mark.parametrize(
    ("limits", "reading", "clear"),
    [
        ({"most": 19.0}, 19.0, True),
        ({"most": 19.0}, 19.1, False),
        ({"least": 5.0}, 5.0, True),
        ({"least": 5.0}, 4.9, False),
        ({"least": 5.0, "most": 19.0}, 12.0, True),
        ({"least": 5.0, "most": 19.0}, 3.0, False),
        ({"least": 0.0}, -0.1, False),
        ({"most": 0.0}, 0.1, False),
    ],
    ids=str,
)
def test_a_reading_is_clear_within_its_limits(limits: dict[str, float], reading: float, clear: bool) -> None:
    assert Reading(unit="%", **limits).allows(reading) is clear


def test_the_least_guard_band_keeps_95_percent_on_one_side() -> None:
    """JCGM 106:2012, 8.3.2: a guard band of so many u for a normal distribution."""
    assert NormalDist().cdf(LEAST_GUARD_FACTOR) == pytest.approx(0.95, abs=1e-4)
    assert practice().decision.guard_factor == LEAST_GUARD_FACTOR


def test_nothing_decides_by_itself_that_a_firm_has_not_said() -> None:
    said = {field.name: field.default for field in fields(Decision)}
    assert said["non_settling_binds"] is said["contradiction_decides"] is False


def test_all_that_a_firm_states_says_where_it_comes_from() -> None:
    """But for parts of what does: rows of a sheet, a lance, a reading."""
    of_others = {known.SheetDensity, known.Loading, known.ChartRow, known.ClosedRow, known.Lance, Reading}
    kinds = {
        kind for kind in vars(known).values() if isinstance(kind, type) and kind.__module__ == known.__name__
    }
    assert {kind for kind in kinds if not issubclass(kind, Sourced)} == of_others


def test_a_profile_has_no_default_for_what_a_contractor_measures() -> None:
    required = {"bands", "sampling", "decision", "rates", "patching", "hold_points"}
    unsaid = {field.name for field in fields(Practice) if repr(field.default).startswith("<dataclasses")}
    assert required <= unsaid


def test_the_builders_profile_has_rates_for_every_method() -> None:
    assert {rates.method for rates in practice().rates.methods} == set(Method)
