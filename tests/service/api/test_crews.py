"""Crews: their link is shown once, opens their own jobs, and ends when it is renewed or revoked."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from service.usecases.keeping import checks
from tests.api import Api, operator_of, problem, small_building
from tests.pictures import photo

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("papers_plain")]


def made(api: Api, name: str) -> Any:
    answer = api.send("POST", "/v1/crews", {"name": name}, Idempotency_Key=f"make {name}")
    assert answer.status_code == 201, answer.text
    return answer.json


def token_of(crew: Any) -> str:
    """What the link has in its fragment."""
    return str(crew["url"].partition("/crew/#")[2])


def test_a_link_is_shown_once_and_listed_without_what_opens_it(api: Api) -> None:
    crew = made(api, "Crew shown once")
    assert token_of(crew).startswith("bw_")
    listed = api.send("GET", "/v1/crews")
    mine = next(each for each in listed.json["items"] if each["id"] == crew["id"])
    assert mine["link"] == {"created_at": mine["link"]["created_at"], "last_used_at": None}
    assert token_of(crew) not in listed.text


@pytest.mark.both_databases
def test_the_same_request_is_one_crew_and_another_of_its_name_is_refused(api: Api) -> None:
    first = made(api, "Crew twice")
    assert made(api, "Crew twice") == first
    again = api.send("POST", "/v1/crews", {"name": "Crew twice"}, Idempotency_Key="another")
    assert problem(again, 409)["code"] == "crews.name_taken"


def test_a_renewed_link_ends_the_one_before_and_a_revoked_one_opens_nothing(api: Api) -> None:
    crew = made(api, "Crew renewed")

    def status(token: str) -> int:
        # A key that is in force and may not: 403. One that is not: 401.
        return api.client.get("/v1/crews", headers={"Authorization": f"Bearer {token}"}).status_code

    assert status(token_of(crew)) == 403
    renewed = api.send("POST", f"/v1/crews/{crew['id']}/link", Idempotency_Key="renew").json
    assert (status(token_of(crew)), status(token_of(renewed))) == (401, 403)
    assert api.send("DELETE", f"/v1/crews/{crew['id']}").status_code == 204
    assert status(token_of(renewed)) == 401
    listed = api.send("GET", "/v1/crews").json["items"]
    assert next(each for each in listed if each["id"] == crew["id"])["link"] is None


@pytest.fixture
def job(api: Api) -> Any:
    return api.job(small_building())


@pytest.mark.both_databases
def test_an_assignment_takes_the_place_of_the_one_before(api: Api, job: Any) -> None:
    one, two = made(api, "Crew A"), made(api, "Crew B")
    path = f"/v1/jobs/{job['id']}/assignment"
    both = [{"day": "2026-11-26", "crew": two["id"]}, {"day": "2026-11-25", "crew": one["id"]}]
    answer = api.send("PUT", path, {"days": both})
    assert [(each["day"], each["name"]) for each in answer.json["days"]] == [
        ("2026-11-25", "Crew A"),
        ("2026-11-26", "Crew B"),
    ]
    assert api.send("PUT", path, {"days": both[:1]}).json == api.send("GET", path).json
    assert len(api.send("GET", path).json["days"]) == 1
    assert api.send("PUT", path, {"days": []}).json == {"days": []}


def test_an_assignment_names_each_crew_that_there_is_once_a_day(api: Api, job: Any) -> None:
    crew = made(api, "Crew once a day")
    path = f"/v1/jobs/{job['id']}/assignment"
    day = {"day": "2026-11-25", "crew": crew["id"]}
    assert problem(api.send("PUT", path, {"days": [day, day]}), 422)["errors"][0]["pointer"] == "/days"
    stranger = {"day": "2026-11-25", "crew": job["id"]}
    wrong = problem(api.send("PUT", path, {"days": [day, stranger]}), 422)
    assert wrong["errors"][0]["pointer"] == "/days/1/crew"


@pytest.mark.both_databases
def test_every_assignment_is_sealed(api: Api, app: Flask, job: Any) -> None:
    crew = made(api, "Crew sealed")
    path = f"/v1/jobs/{job['id']}/assignment"
    for days in ([{"day": "2026-11-25", "crew": crew["id"]}], []):
        assert api.send("PUT", path, {"days": days}).status_code == 200
    with operator_of(app) as database:
        assert not checks.verify(database).faults


def link_of(api: Api, name: str, job: Any, day: date) -> dict[str, str]:
    """The headers of a new crew that is assigned this job on a day."""
    crew = made(api, name)
    days = {"days": [{"day": day.isoformat(), "crew": crew["id"]}]}
    assert api.send("PUT", f"/v1/jobs/{job['id']}/assignment", days).status_code == 200
    return {"Authorization": f"Bearer {token_of(crew)}"}


def test_a_crew_reads_its_jobs_of_these_days_and_no_others(api: Api, job: Any) -> None:
    today = datetime.now(UTC).date()
    other = api.job(small_building())
    here = link_of(api, "Crew here", job, today)
    far = link_of(api, "Crew far", other, today + timedelta(days=5))
    (listed,) = api.client.get("/v1/jobs", headers=here).json["items"]
    assert (listed["id"], listed["parts"], listed["parts_done"]) == (job["id"], len(job["cavities"]), 0)
    assert listed["office_phone"]
    assert listed["days"] == [
        {"day": today.isoformat(), "crew": listed["days"][0]["crew"], "name": "Crew here"}
    ]
    assert api.client.get("/v1/jobs", headers=far).json["items"] == []
    assert api.client.get(f"/v1/jobs/{job['id']}/document", headers=here).status_code == 202
    api.wait()
    for path in ("", "/working", "/entries", "/assessment", "/document"):
        assert api.client.get(f"/v1/jobs/{job['id']}{path}", headers=here).status_code == 200, path
        problem(api.client.get(f"/v1/jobs/{other['id']}{path}", headers=here), 404)


def test_the_day_s_list_is_a_few_lines_a_job(api: Api, job: Any) -> None:
    today = datetime.now(UTC).date()
    here = link_of(api, "Crew short", job, today)
    answer = api.client.get("/v1/jobs", headers=here)
    assert len(answer.data) < 1000 * len(answer.json["items"])


def test_no_price_is_in_anything_that_a_crew_or_an_installer_reads(api: Api, job: Any) -> None:
    here = link_of(api, "Crew without prices", job, datetime.now(UTC).date())
    for path in ("", "/working", "/assessment", "/entries"):
        address = f"/v1/jobs/{job['id']}{path}"
        theirs = (api.client.get(address, headers=here), api.send("GET", address, role="installer"))
        for answer in theirs:
            assert "price" not in answer.text, path
    assert "price" in api.send("GET", f"/v1/jobs/{job['id']}/working", role="sales").json["takeoff"]


@pytest.mark.both_databases
def test_the_list_is_asked_for_by_day_crew_and_state(api: Api, job: Any) -> None:
    today = datetime.now(UTC).date()
    link_of(api, "Crew asked for", job, today)
    crew = next(
        each for each in api.send("GET", "/v1/crews").json["items"] if each["name"] == "Crew asked for"
    )
    of_crew = api.send("GET", f"/v1/jobs?crew={crew['id']}&day={today}&state=open").json["items"]
    assert [each["id"] for each in of_crew] == [job["id"]]
    assert api.send("GET", f"/v1/jobs?crew={crew['id']}&state=closed").json["items"] == []
    tomorrow = today + timedelta(days=1)
    assert api.send("GET", f"/v1/jobs?crew={crew['id']}&day={tomorrow}").json["items"] == []


def test_the_working_of_one_part(api: Api, job: Any) -> None:
    label = job["cavities"][1]["label"]
    one = api.send("GET", f"/v1/jobs/{job['id']}/working?cavity={label}").json
    assert [each["label"] for each in one["cavities"]] == [label]
    assert [each["label"] for each in one["takeoff"]["cavities"]] == [label]
    unknown = api.send("GET", f"/v1/jobs/{job['id']}/working?cavity=nowhere")
    assert problem(unknown, 404)["code"] == "jobs.no_such_part"


def note(remark: str) -> dict[str, Any]:
    """An entry with an id of its own."""
    moment = "2026-11-25T08:00:00Z"
    return {"kind": "note", "id": str(uuid4()), "happened_at": moment, "by": "Alex", "remark": remark}


def recorded(api: Api, job: Any, crew: dict[str, str], *entries: Any) -> TestResponse:
    """What a crew's link records for a job."""
    headers = {**crew, "Idempotency-Key": str(uuid4())}
    path = f"/v1/jobs/{job['id']}/entries"
    return api.client.post(path, json={"entries": list(entries)}, headers=headers)


def test_a_crew_records_for_what_it_was_assigned_lately_and_no_longer(api: Api) -> None:
    today = datetime.now(UTC).date()
    for days_ago, status in ((0, 201), (30, 201), (31, 404), (-1, 201), (-2, 404)):
        job = api.job(small_building())
        crew = link_of(api, f"Crew of {days_ago}", job, today - timedelta(days=days_ago))
        answer = recorded(api, job, crew, note("x"))
        assert answer.status_code == status, days_ago
        photo_path = f"/v1/jobs/{job['id']}/photos/{uuid4()}"
        sent = api.client.put(photo_path, data=photo(), headers={**crew, "Content-Type": "image/jpeg"})
        assert sent.status_code == {201: 200}.get(status, status), days_ago


def test_a_crew_that_is_taken_off_a_job_records_nothing_more(api: Api, job: Any) -> None:
    crew = link_of(api, "Crew taken off", job, datetime.now(UTC).date())
    kept = note("before")
    assert recorded(api, job, crew, kept).status_code == 201
    assert api.send("PUT", f"/v1/jobs/{job['id']}/assignment", {"days": []}).status_code == 200
    assert recorded(api, job, crew, note("after")).status_code == 404


def test_entries_that_had_arrived_are_no_doubles_by_a_renewed_link_or_by_the_office(api: Api) -> None:
    job = api.job(small_building())
    crew = made(api, "Crew with a new link")
    days = {"days": [{"day": datetime.now(UTC).date().isoformat(), "crew": crew["id"]}]}
    assert api.send("PUT", f"/v1/jobs/{job['id']}/assignment", days).status_code == 200
    arrived, waiting = note("arrived"), note("waiting")
    old = {"Authorization": f"Bearer {token_of(crew)}"}
    first = recorded(api, job, old, arrived).json["entries"][0]
    renewed = api.send("POST", f"/v1/crews/{crew['id']}/link", Idempotency_Key="renew it").json
    assert recorded(api, job, old, waiting).status_code == 401
    new = {"Authorization": f"Bearer {token_of(renewed)}"}
    assert recorded(api, job, new, arrived, waiting).json["entries"][0] == first
    assert api.record(job, [waiting, arrived]).status_code == 201
    ledger = api.send("GET", f"/v1/jobs/{job['id']}/entries").json["entries"]
    assert [each["id"] for each in ledger] == [arrived["id"], waiting["id"]]


@pytest.mark.both_databases
def test_another_firm_sees_no_crew_and_no_assignment(api: Api, job: Any) -> None:
    crew = made(api, "Crew of one firm")
    other = Api(api.app, "other")
    assert crew["id"] not in other.send("GET", "/v1/crews").text
    for method, path in (
        ("POST", f"/v1/crews/{crew['id']}/link"),
        ("DELETE", f"/v1/crews/{crew['id']}"),
        ("GET", f"/v1/jobs/{job['id']}/assignment"),
    ):
        assert other.send(method, path, Idempotency_Key="x").status_code == 404, path
    theirs = other.job(small_building())
    days = {"days": [{"day": "2026-11-25", "crew": crew["id"]}]}
    refused = other.send("PUT", f"/v1/jobs/{theirs['id']}/assignment", days)
    assert problem(refused, 422)["errors"][0]["pointer"] == "/days/0/crew"
