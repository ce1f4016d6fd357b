"""Subscriptions through the API: made, shown, changed, renewed and ended by the office."""

from typing import Any

import pytest
from werkzeug.test import TestResponse

from tests.api import Api, problem

BODY = {"url": "https://sales.example/events", "events": ["quote.offered", "certificate.issued"]}


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: `usecases/firm/test_deliveries.py` has both."""
    return sqlite_url


def put(api: Api, code: str, key: str, **changes: Any) -> TestResponse:
    return api.send("PUT", f"/v1/subscriptions/{code}", {**BODY, **changes}, Idempotency_Key=key)


def test_the_secret_is_shown_once(api: Api) -> None:
    made = put(api, "sales", "made").json
    assert made["secret"].startswith("whsec_")
    assert {**made, **BODY, "code": "sales", "waiting": 0, "given_up": 0, "delivered_at": None} == {
        **made,
        "events": BODY["events"],
    } | {"events": BODY["events"]}
    # The answer that was lost is given again, to the same request alone.
    assert put(api, "sales", "made").json == made
    shown = api.send("GET", "/v1/subscriptions/sales").json
    assert shown == {name: value for name, value in made.items() if name != "secret"}
    assert api.send("GET", "/v1/subscriptions").json == {"items": [shown]}
    changed = put(api, "sales", "changed", url="https://other.example/").json
    assert (changed["secret"], changed["url"]) == (None, "https://other.example/")


def test_another_secret_is_shown_once_too(api: Api) -> None:
    first = put(api, "renewed", "first").json["secret"]
    second = api.send("POST", "/v1/subscriptions/renewed/secret", {}, Idempotency_Key="second").json["secret"]
    assert second not in (first, None)


def test_an_address_that_is_not_public_is_refused_at_its_field(api: Api) -> None:
    body = problem(put(api, "inside", "inside", url="https://169.254.169.254/latest"), 422)
    assert [each["pointer"] for each in body["errors"]] == ["/url"]
    assert body["errors"][0]["code"] == "deliveries.not_public"
    problem(api.send("GET", "/v1/subscriptions/inside"), 404)


def test_what_was_ended_is_not_there_and_can_be_made_anew(api: Api) -> None:
    first = put(api, "ended", "before").json
    assert api.send("DELETE", "/v1/subscriptions/ended").status_code == 204
    problem(api.send("DELETE", "/v1/subscriptions/ended"), 404)
    assert put(api, "ended", "after").json["secret"] != first["secret"]


def test_each_firm_has_its_own_and_not_without_end(api: Api) -> None:
    other = Api(api.app, firm="other")
    for n in range(20):
        assert put(other, f"s{n}", f"s{n}").status_code == 200
    problem(put(other, "s20", "s20"), 409)
    assert put(other, "s3", "again").status_code == 200
    problem(api.send("GET", "/v1/subscriptions/s3"), 404)
