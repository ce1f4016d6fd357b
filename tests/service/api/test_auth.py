"""Who calls: one key in one header, in force, in a role that may."""

from typing import Any
from uuid import UUID

import pytest
from flask import Flask
from sqlalchemy import event

from tests.api import Api, problem

PATH = "/v1/materials"


@pytest.mark.parametrize("sent", ["", "Bearer", "Bearer ", "Basic {key}", "{key}", "Bearer bw_00000000_x"])
def test_without_a_key_in_force_nothing_is_told(api: Api, sent: str) -> None:
    key = api.key("office")
    answer = api.client.get(PATH, headers={"Authorization": sent.format(key=key)} if sent else {})
    assert problem(answer, 401)
    assert answer.headers["WWW-Authenticate"] == "Bearer"
    assert key not in answer.text


@pytest.mark.parametrize("scheme", ["Bearer", "bearer", "BEARER"])
def test_the_scheme_is_known_in_any_case(api: Api, scheme: str) -> None:
    """RFC 9110, 11.1: an authentication scheme's name is case-insensitive."""
    answer = api.client.get(PATH, headers={"Authorization": f"{scheme} {api.key('office')}"})
    assert answer.status_code == 200


def test_another_role_is_told_which_ones_may(api: Api) -> None:
    body = {"in_force_from": "2026-01-01"}
    refused = problem(api.send("PUT", f"{PATH}/X", body, role="installer"), 403)
    assert "office" in refused["detail"]


def test_a_key_with_several_roles_may_what_each_may(api: Api) -> None:
    headers = {"Authorization": f"Bearer {api.key('installer', 'office')}"}
    assert api.client.get(PATH, headers=headers).status_code == 200


@pytest.mark.one_database
def test_who_asks_is_found_in_the_transaction_that_answers_him(app: Flask, api: Api) -> None:
    quote = api.quote()
    database, taken = app.extensions["database"], []

    def note(*_connection: Any) -> None:
        taken.append(1)

    event.listen(database, "checkout", note)
    try:
        assert api.send("GET", f"/v1/quotes/{quote['id']}", role="sales").status_code == 200
    finally:
        event.remove(database, "checkout", note)
    assert len(taken) == 1


@pytest.mark.parametrize(
    ("method", "path", "role", "status"),
    [
        ("GET", "/v1/quotes", "sales", 200),
        ("HEAD", "/v1/quotes", "sales", 200),
        ("GET", "/v1/quotes", "installer", 403),
        ("GET", "/v1/quotes?limit=none", "sales", 422),
        ("GET", f"/v1/quotes/{UUID(int=1)}", "sales", 404),
        ("GET", "/v1/quotes/DEMO-2026-09999", "sales", 404),
        ("GET", f"/v1/quotes/{UUID(int=1)}/document", "sales", 404),
        ("GET", "/v1/quotes", None, 401),
    ],
)
def test_no_request_leaves_a_transaction_open(
    app: Flask, api: Api, method: str, path: str, role: str | None, status: int
) -> None:
    key = "bw_00000000_" + 43 * "x" if role is None else api.key(role)
    answer = api.client.open(path, method=method, headers={"Authorization": f"Bearer {key}"})
    assert answer.status_code == status
    assert app.extensions["database"].pool.checkedout() == 0
