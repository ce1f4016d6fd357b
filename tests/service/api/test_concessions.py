"""Concessions by the API: exact, with a reason, and never for what must be met."""

from typing import Any

import pytest

from tests.api import Api, day_of, problem

pytestmark = pytest.mark.one_database


def grant(api: Api, job: Any, **asked: str) -> Any:
    """Ask for a concession."""
    body = {"reason": "Seen again, from the attic.", "granted_by": "The office", **asked}
    return api.send("POST", f"/v1/jobs/{job['id']}/concessions", body)


def without(api: Api, *left_out: str) -> Any:
    """A job whose crew left out entries of these kinds, or with these members."""
    job = api.job()
    for batch in day_of(job):
        kept = [each for each in batch if not {each["kind"], *each} & set(left_out)]
        assert not kept or api.record(job, kept).status_code == 201
    return job


def unmet(api: Api, job: Any) -> list[tuple[str, str | None, str]]:
    """What stands in the way."""
    found = api.send("GET", f"/v1/jobs/{job['id']}/assessment").json["unmet"]
    return [(each["code"], each["cavity"], each["subject"]) for each in found]


def test_a_subject_alone_names_its_condition(api: Api) -> None:
    job = without(api, "core")
    code, cavity, subject = next(each for each in unmet(api, job) if each[0] == "samples_missing")
    granted = grant(api, job, condition=code, subject=subject)
    assert granted.status_code == 201, granted.text
    assert (granted.json["cavity"], granted.json["subjects"]) == (cavity, [subject])
    assert (code, cavity, subject) not in unmet(api, job)


def test_a_concession_is_for_what_is_unmet_now_and_for_nothing_later(api: Api) -> None:
    job = without(api, "left_over", "core")
    granted = grant(api, job, condition="stock_unreconciled").json
    assert (granted["cavity"], granted["subjects"]) == (None, ["stock"])
    assert "stock_unreconciled" not in {code for code, _, _ in unmet(api, job)}
    # What is conceded is unmet no more, and is not conceded twice.
    refused = problem(grant(api, job, condition="stock_unreconciled"), 422)
    assert refused["errors"][0]["pointer"] == "/condition"


def test_what_must_be_met_is_not_conceded(api: Api) -> None:
    job = api.job()
    label = job["cavities"][0]["label"]
    problem(grant(api, job, condition="fill_missing", cavity=label), 409)
    safety = next(subject for code, _, subject in unmet(api, job) if code == "hold_point_open")
    problem(grant(api, job, condition="hold_point_open", subject=safety), 409)


def test_a_closed_job_takes_no_concession(api: Api) -> None:
    job = without(api, "left_over")
    assert api.send("POST", f"/v1/jobs/{job['id']}/closure").status_code == 200
    problem(grant(api, job, condition="stock_unreconciled"), 409)
