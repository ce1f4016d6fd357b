"""The public page's address: what it answers to people and to programs, without a key."""

import pytest

from tests.api import Api, small_building

pytestmark = pytest.mark.usefixtures("papers_plain")

PEOPLE = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
PROGRAMS = {"Accept": "application/json"}


def test_a_number_that_stands_has_a_page_and_the_same_as_json(api: Api) -> None:
    made = api.issue(api.worked()).json
    api.wait()
    path = f"/verify/{made['number']}"
    page = api.client.get(path, headers=PEOPLE)
    said = api.client.get(path, headers=PROGRAMS)
    assert page.content_type.startswith("text/html")
    assert said.json["file_sha256"] in page.text.replace("</span><wbr><span>", "")
    assert said.json | {"state": "in_force", "record_sha256": made["record_sha256"]} == said.json
    assert all(answer.vary.as_set() == {"accept", "accept-language"} for answer in (page, said))


def test_the_json_names_what_took_its_place(api: Api) -> None:
    job = api.worked()
    first, second = api.issue(job).json, api.issue(job).json
    said = api.client.get(f"/verify/{first['number']}", headers=PROGRAMS).json
    assert said["state"] == "superseded"
    assert said["superseded_by"] == second["number"]
    assert said["superseded_at"] == second["issued_at"]


def test_nothing_of_the_client_is_public(api: Api) -> None:
    made = api.issue(api.worked()).json
    api.send("POST", f"/v1/certificates/{made['id']}/withdrawal", {"reason": "a private matter"})
    quote = small_building()
    for headers in (PEOPLE, PROGRAMS):
        text = api.client.get(f"/verify/{made['number']}", headers=headers).text
        assert "ithdrawn" in text
        for private in (quote["client"]["name"], quote["site"]["address"], quote["reference"], "a private"):
            assert private not in text


def test_an_unknown_number_has_a_page_for_people_and_a_problem_for_programs(api: Api) -> None:
    path = "/verify/DEMO-2026-99999"
    for_people = api.client.get(path, headers=PEOPLE)
    assert for_people.status_code == 404
    assert for_people.content_type.startswith("text/html")
    assert "No certificate has this number" in for_people.text
    for_programs = api.client.get(path, headers=PROGRAMS)
    assert for_programs.status_code == 404
    assert for_programs.content_type == "application/problem+json"
    assert all(answer.vary.as_set() == {"accept", "accept-language"} for answer in (for_people, for_programs))


@pytest.mark.parametrize("number", ["%00", "x", "%F0%9F%8F%A0", "DEMO-2026-0000١", "<b>", "A" * 3000, "'--"])
def test_what_is_no_number_is_not_known_and_not_repeated(api: Api, number: str) -> None:
    answer = api.client.get(f"/verify/{number}", headers=PEOPLE)
    assert answer.status_code == 404
    assert "letter by letter" in answer.text
    assert "<b>" not in answer.text
