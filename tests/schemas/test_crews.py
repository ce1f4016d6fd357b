"""A crew has a name; an assignment says each day with its crew, or none."""

from datetime import date
from typing import Any
from uuid import UUID

import pytest

from schemas.crews import MOST_DAYS, AssignmentBody, CrewBody
from tests.pointers import refused

CREW = "0197f000-0000-7000-8000-000000000001"
DAY = {"day": "2026-11-25", "crew": CREW}


@pytest.mark.parametrize(
    ("body", "wrong"),
    [
        ({"name": "North"}, set()),
        ({}, {"/name"}),
        ({"name": ""}, {"/name"}),
        ({"name": "x" * 81}, {"/name"}),
        ({"name": "North", "people": 3}, {"/people"}),
    ],
)
def test_a_crew_is_made_by_its_name(body: dict[str, Any], wrong: set[str]) -> None:
    assert refused(CrewBody(), body) == wrong


def test_days_are_read_as_days_and_crews_as_ids() -> None:
    assert AssignmentBody().load({"days": [DAY]}) == {
        "days": [{"day": date(2026, 11, 25), "crew": UUID(CREW)}]
    }
    assert AssignmentBody().load({"days": []}) == {"days": []}


@pytest.mark.parametrize(
    ("body", "wrong"),
    [
        # Nobody takes a job out of every plan by leaving something out.
        ({}, {"/days"}),
        ({"days": None}, {"/days"}),
        ({"days": [DAY, {"day": "2026-11-26"}]}, {"/days/1/crew"}),
        ({"days": [{**DAY, "crew": "North"}]}, {"/days/0/crew"}),
        ({"days": [{**DAY, "day": "25.11.2026"}]}, {"/days/0/day"}),
        ({"days": [{**DAY, "until": "2026-11-27"}]}, {"/days/0/until"}),
        ({"days": [DAY] * (MOST_DAYS + 1)}, {"/days"}),
    ],
    ids=lambda value: str(value)[:60],
)
def test_what_cannot_be_is_refused_by_its_field(body: dict[str, Any], wrong: set[str]) -> None:
    assert refused(AssignmentBody(), body) == wrong
