"""A revision takes the number of the offer that it supersedes; a copy is a quote of its own."""

from typing import Any
from uuid import uuid4

import pytest

from service.usecases.keeping import checks
from tests.api import ACCEPTED, Api, operator_of, problem, small_building
from tests.service.documents.reading import text_of


def step(api: Api, quote: Any, name: str, body: Any = None) -> Any:
    """The quote after a step."""
    answer = api.send("POST", f"/v1/quotes/{quote['id']}/{name}", body, role="sales")
    assert answer.status_code in (200, 201), answer.text
    return answer.json


@pytest.fixture(scope="module")
def revised(app: Any) -> tuple[Api, Any, Any]:
    """An offer, and its revision with more travel, offered too."""
    api = Api(app)
    first = step(api, api.quote(small_building(reference="SO-77")), "offer")
    draft = step(api, first, "revisions")
    path = f"/v1/quotes/{draft['id']}"
    assert (draft["state"], draft["number"], draft["revision"]) == ("draft", None, 2)
    assert draft["total"] == first["total"]
    changed = small_building(reference="SO-77", travel_km=500)
    assert api.send("PUT", path, changed, role="sales", If_Match='"1"').status_code == 200
    return api, first, step(api, draft, "offer")


def test_both_are_kept_under_one_number(revised: tuple[Api, Any, Any]) -> None:
    api, first, second = revised
    assert (second["number"], second["revision"]) == (first["number"], 2)
    assert second["revises"] == first["id"]
    path = f"/v1/quotes/{first['number']}"
    assert api.send("GET", path).json["id"] == second["id"]
    old = api.send("GET", f"{path}?revision=1").json
    assert (old["id"], old["state"], old["superseded_by"]) == (first["id"], "superseded", second["id"])
    assert old["total"] == first["total"] != second["total"]
    found = api.send("GET", f"/v1/quotes?number={first['number']}").json["items"]
    assert [each["revision"] for each in found] == [2, 1]


def test_only_the_latest_is_accepted_and_nothing_is_revised_after(revised: tuple[Api, Any, Any]) -> None:
    api, first, second = revised
    assert "revision 2" in text_of(api.send("GET", f"/v1/quotes/{second['id']}/document").data)
    problem(api.send("POST", f"/v1/quotes/{first['id']}/acceptance", ACCEPTED), 409)
    problem(api.send("POST", f"/v1/quotes/{first['id']}/revisions"), 409)
    job_id = step(api, second, "acceptance", ACCEPTED)["job_id"]
    problem(api.send("POST", f"/v1/quotes/{second['id']}/revisions"), 409)
    with operator_of(api.app) as database:
        assert checks.verify(database).faults == ()
    assert api.send("POST", f"/v1/jobs/{job_id}/closure").status_code == 200
    erasure = {"reason": "A trial"}
    path = f"/v1/quotes/{second['id']}/erasure"
    assert api.send("POST", path, erasure, Idempotency_Key=str(uuid4())).status_code == 200
    assert api.send("GET", f"/v1/quotes/{first['id']}").json["client"] == {"name": "(erased)"}
    with operator_of(api.app) as database:
        assert checks.verify(database).faults == ()


def test_of_two_revisions_one_is_offered(api: Api) -> None:
    first = step(api, api.quote(), "offer")
    one, other = step(api, first, "revisions"), step(api, first, "revisions")
    step(api, one, "offer")
    problem(api.send("POST", f"/v1/quotes/{other['id']}/offer"), 409)


def test_a_draft_is_changed_and_not_revised(api: Api) -> None:
    problem(api.send("POST", f"/v1/quotes/{api.quote()['id']}/revisions"), 409)


def test_a_draft_that_was_withdrawn_has_no_number_to_take_over(api: Api) -> None:
    gone = step(api, api.quote(), "withdrawal")
    refused = api.send("POST", f"/v1/quotes/{gone['id']}/revisions")
    assert problem(refused, 409)["code"] == "quotes.never_offered"
    assert step(api, gone, "copies", {"reference": "SO-78"})["revision"] == 1


def test_a_copy_has_its_own_reference_and_todays_prices(api: Api) -> None:
    first = step(api, api.quote(small_building(priced_on="2026-10-05")), "offer")
    copy = step(api, first, "copies", {"reference": "SO-78"})
    assert (copy["reference"], copy["revision"], copy["revises"]) == ("SO-78", 1, None)
    assert copy["priced_on"] > first["priced_on"]
    assert copy["client"] == first["client"]
    assert copy["takeoff"]["cavities"] == first["takeoff"]["cavities"]
