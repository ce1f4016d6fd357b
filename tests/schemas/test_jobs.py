"""Jobs are asked for by day, crew and state; what a crew reads holds the offer as it was."""

from datetime import date
from typing import Any
from uuid import UUID

import pytest

from schemas.jobs import STATES, Job, JobHead, JobQuery, JobWorking, OfferedMaterial
from tests.pointers import demo, refused

CREW = "0197f000-0000-7000-8000-000000000001"


def test_a_list_is_asked_for_by_day_crew_and_state() -> None:
    asked = {"day": "2026-11-25", "crew": CREW, "state": "open", "limit": "7", "after": CREW}
    assert JobQuery().load(asked) == {
        "day": date(2026, 11, 25),
        "crew": UUID(CREW),
        "state": "open",
        "limit": 7,
        "after": UUID(CREW),
    }
    assert JobQuery().load({}) == {"limit": 50}


@pytest.mark.parametrize("state", STATES)
def test_each_state_can_be_asked_for(state: str) -> None:
    assert refused(JobQuery(), {"state": state}) == set()


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("day", "25.11.2026"),
        ("day", "today"),
        ("crew", "North"),
        ("state", "offered"),
        ("limit", "0"),
        ("limit", "201"),
        ("after", "1"),
        ("month", "2026-11"),
    ],
)
def test_what_cannot_be_asked_is_refused_by_its_name(name: str, value: Any) -> None:
    assert refused(JobQuery(), {name: value}) == {f"/{name}"}


def test_the_material_of_an_offer_is_its_sheet_without_the_day_of_a_version() -> None:
    sheet = demo("materials/cf-std.json")
    body = {name: value for name, value in sheet.items() if name != "in_force_from"}
    assert refused(OfferedMaterial(), body) == set()
    assert refused(OfferedMaterial(), sheet) == {"/in_force_from"}


def test_the_short_answer_has_no_survey_and_no_sheet() -> None:
    head, short, long = (kind().fields.keys() for kind in (JobHead, Job, JobWorking))
    assert head < short
    assert head < long
    assert "cavities" not in short
    assert {"cavities", "takeoff", "material"} <= long
