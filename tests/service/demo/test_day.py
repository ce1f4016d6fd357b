"""A played day says what a crew would say, its mishaps among it, and is certified."""

from collections import Counter
from typing import Any

import pytest

from service.demo.day import Day
from tests.api import NOW, Api, building, small_building


@pytest.fixture
def job(api: Api) -> Any:
    """A shared wall, a wall of one layer, and an attic."""
    cavities = building()["cavities"]
    single = next(each for each in cavities if len(each["layers"]) == 1 and each["element"] == "wall")
    return api.job(small_building(cavities=[*small_building()["cavities"], single]))


def played(job: Any, *, mishaps: bool) -> list[list[Any]]:
    day = Day(job, NOW, mishaps=mishaps)
    parts = zip(job["cavities"], job["takeoff"]["cavities"], strict=True)
    return [day.before(), *(day.cavity(*part) for part in parts), day.after()]


def test_a_day_with_its_mishaps_is_told_in_a_few_entries_and_certified(api: Api, job: Any) -> None:
    told: Counter[str] = Counter()
    for batch in played(job, mishaps=True):
        answer = api.record(job, batch)
        assert answer.status_code == 201, answer.text
        told.update(each["kind"] for each in batch)
    assert (told["correction"], told["found"], told["fill"]) == (2, 1, 1)
    assert told["tally"] == 3
    assert told.total() - told["core"] <= 30
    found = api.send("GET", f"/v1/jobs/{job['id']}/assessment").json
    assert found["unmet"] == []
    assert api.issue(job).status_code == 201


def test_the_same_seed_plays_the_same_day_but_for_its_ids(job: Any) -> None:
    one, other = (
        [{name: value for name, value in each.items() if name != "id"} for batch in day for each in batch]
        for day in (played(job, mishaps=False), played(job, mishaps=False))
    )
    assert one == other
