"""A number for people works wherever an id does, for its own firm alone."""

import pytest

from tests.api import Api, problem


def offered(api: Api) -> dict[str, str]:
    """An offer in short."""
    path = f"/v1/quotes/{api.quote()['id']}/offer"
    return api.send("POST", path, role="sales").json


def test_an_offer_is_read_and_accepted_by_its_number(api: Api) -> None:
    quote = offered(api)
    for end in ("", "/working", "/document", "/links"):
        by_number = api.send("GET", f"/v1/quotes/{quote['number']}{end}", role="sales")
        assert by_number.status_code == 200
        assert by_number.data == api.send("GET", f"/v1/quotes/{quote['id']}{end}", role="sales").data
    said = {"accepted_by": "A client", "how": "by letter"}
    accepted = api.send("POST", f"/v1/quotes/{quote['number']}/acceptance", said, role="sales")
    assert accepted.status_code == 201
    job = api.send("GET", f"/v1/jobs/{accepted.json['job_id']}").json
    assert api.send("GET", f"/v1/jobs/{job['number']}").json == job


def test_a_certificate_is_read_by_its_number(api: Api) -> None:
    issued = api.issue(api.worked()).json
    found = api.send("GET", f"/v1/certificates/{issued['number']}").json
    assert found == api.send("GET", f"/v1/certificates/{issued['id']}").json


@pytest.mark.parametrize(
    "path",
    [
        "/v1/quotes/Q-2026-9999",
        "/v1/jobs/J-2026-9999",
        "/v1/certificates/C-2026-99999",
        "/v1/links/L-2026-0001",
        "/v1/quotes/Q-2026-0001?revision=9",
    ],
)
def test_a_number_that_there_is_not_is_not_there(api: Api, path: str) -> None:
    offered(api)
    problem(api.send("DELETE" if "links" in path else "GET", path), 404)


def test_another_firms_number_is_not_there(api: Api) -> None:
    stranger, mine = Api(api.app, firm="other"), offered(api)
    # Numbers are a firm's own: the same one may be another's, with nothing of this one in it.
    answer = stranger.send("GET", f"/v1/quotes/{mine['number']}", role="sales")
    assert answer.status_code == 404 or answer.json["id"] != mine["id"]


def test_a_revision_is_named_as_a_number_or_not_at_all(api: Api) -> None:
    quote = offered(api)
    path = f"/v1/quotes/{quote['number']}"
    assert api.send("GET", f"{path}?revision=1").json["id"] == quote["id"]
    assert api.send("GET", f"/v1/quotes/{quote['id']}?revision=1").json["id"] == quote["id"]
    problem(api.send("GET", f"{path}?revision=latest"), 422)
    problem(api.send("GET", f"/v1/quotes/{quote['id']}?revision=2"), 404)
