"""Estimates stand where a firm declared nothing, say so, and are never certified."""

from dataclasses import fields, replace

import pytest

from service.engine.ground.vocabulary import Standing, Surveyed
from service.engine.survey.sourced import vouched_for
from service.engine.survey.uncertainties import (
    ESTIMATED,
    ESTIMATES,
    READING,
    SAMPLE,
    SURVEY,
    WEIGHING,
    SizeErrors,
)

GROUPS = (SURVEY, WEIGHING, READING, SAMPLE)


@pytest.mark.parametrize("group", GROUPS, ids=lambda group: type(group).__name__)
def test_an_estimate_says_that_it_is_one(group: object) -> None:
    assert (group.source, group.standing) == (ESTIMATED, Standing.FROM_MEMORY)  # type: ignore[attr-defined]
    assert not vouched_for(standing=group.standing)  # type: ignore[attr-defined]


@pytest.mark.parametrize("group", [*GROUPS, SURVEY.counted, SURVEY.drawn], ids=lambda g: type(g).__name__)
def test_nothing_that_is_measured_is_exact(group: object) -> None:
    figures = [getattr(group, field.name) for field in fields(group)]  # type: ignore[arg-type]
    assert all(figure > 0 for figure in figures if isinstance(figure, float))


@pytest.mark.parametrize(
    ("surveyed", "sizes"),
    [
        (Surveyed.COUNTED, SURVEY.counted),
        (Surveyed.DRAWN, SURVEY.drawn),
        # What was estimated from areas is no better than what was drawn.
        (Surveyed.ESTIMATED, SURVEY.drawn),
    ],
)
def test_sizes_err_as_they_came_about(surveyed: Surveyed, sizes: SizeErrors) -> None:
    assert SURVEY.of(surveyed=surveyed) is sizes


def test_what_was_drawn_errs_no_less_than_what_was_counted() -> None:
    for field in fields(SizeErrors):
        assert getattr(SURVEY.drawn, field.name) >= getattr(SURVEY.counted, field.name)


def test_a_group_is_the_firms_or_the_estimate() -> None:
    assert (ESTIMATES.survey, ESTIMATES.weighing, ESTIMATES.reading, ESTIMATES.sample) == GROUPS
    own = replace(WEIGHING, scale_half_kg=0.05, standing=Standing.DECLARED, source="the scale's last check")
    assert replace(ESTIMATES, weighing=own).survey is SURVEY
