"""Crews: their link is shown once, opens their own jobs, and ends when it is renewed or revoked."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from flask import Flask

from service.usecases.keeping import checks
from tests.api import Api, operator_of, problem, small_building


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
