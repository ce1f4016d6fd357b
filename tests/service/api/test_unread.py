"""Every member of a body and every parameter of an address is read or refused, on every route."""

from collections.abc import Mapping
from typing import Any

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from service.usecases.firm.keys import ROLES
from tests.api import ACCEPTED, Api, problem
from tests.contract.test_access import ANYBODY, DECISIONS, routes, things

__all__ = ["things"]

STRANGE = "nobody_reads_this"
METHODS = {route: route.partition(" ")[0] for route in DECISIONS}


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database is enough: what is refused here is refused before it is asked anything."""
    return sqlite_url


def call(api: Api, route: str, things: Mapping[str, str], body: Any = None, **sent: Any) -> TestResponse:
    """Call a route with every role, and something in the place of its variables."""
    method, _, path = route.partition(" ")
    for variable, thing in things.items():
        path = path.replace(variable, thing)
    headers = {"If-Match": '"1"', "Idempotency-Key": "once"}
    if DECISIONS[route] != ANYBODY:
        headers["Authorization"] = f"Bearer {api.key(*ROLES)}"
    return api.client.open(path, method=method, json=body, headers=headers, **sent)


def pointers(answer: TestResponse) -> list[str]:
    """What a refusal names."""
    return [fault["pointer"] for fault in problem(answer, 422)["errors"]]


@pytest.mark.parametrize("route", DECISIONS)
def test_an_unknown_parameter_is_refused(api: Api, things: dict[str, str], route: str) -> None:
    body = DECISIONS[route].body
    sent = {"data": body, "content_type": "image/jpeg"} if isinstance(body, bytes) else {"body": body}
    with call(api, route, things, query_string={STRANGE: "1"}, **sent) as answer:
        assert f"/{STRANGE}" in pointers(answer)


@pytest.mark.parametrize(
    "route", [route for route, decision in DECISIONS.items() if not isinstance(decision.body, bytes)]
)
def test_an_unknown_member_is_refused(api: Api, things: dict[str, str], route: str) -> None:
    with call(api, route, things, {**(DECISIONS[route].body or {}), STRANGE: 1}) as answer:
        assert f"/{STRANGE}" in pointers(answer)


@pytest.mark.parametrize("route", DECISIONS)
@pytest.mark.parametrize("body", [b"{}", b"[1]", b"anything"], ids=["empty object", "list", "text"])
def test_what_takes_no_body_refuses_any(
    api: Api, app: Flask, things: dict[str, str], route: str, body: bytes
) -> None:
    if DECISIONS[route].body is not None:
        assert "reads" in vars(app.view_functions[endpoint(app, route)])
        return
    with call(api, route, things, data=body, content_type="application/json") as answer:
        assert pointers(answer) == [""]


def endpoint(app: Flask, route: str) -> str:
    """The name by which the application knows a route."""
    method, _, path = route.partition(" ")
    (found,) = (
        rule.endpoint for rule in app.url_map.iter_rules() if rule.rule == path and method in rule.methods
    )
    return found


def test_every_route_is_tried(app: Flask) -> None:
    assert routes(app).keys() == DECISIONS.keys()


def test_what_is_asked_for_once_and_sent_twice_is_refused(api: Api) -> None:
    assert pointers(api.send("GET", "/v1/jobs?limit=1&limit=2")) == ["/limit"]


def test_a_body_that_was_dropped_before_is_refused(api: Api) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    wanted = {"valid_until": "2027-01-01", "bogus": 1}
    assert pointers(api.send("POST", f"{path}/offer", wanted)) == ["/valid_until", "/bogus"]
    assert api.send("GET", path).json["state"] == "draft"
    assert api.send("POST", f"{path}/offer").status_code == 200
    unread = {**ACCEPTED, "job": "J-1"}
    assert pointers(api.send("POST", f"{path}/acceptance", unread)) == ["/job"]
    assert api.send("GET", path).json["state"] == "offered"
