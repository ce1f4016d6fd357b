"""The office makes, rotates and ends the firm's keys by itself."""

from typing import Any
from uuid import uuid4

import pytest

from tests.api import Api, problem


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: the use case's own tests have both."""
    return sqlite_url


def made(api: Api, path: str = "/v1/keys", **body: Any) -> Any:
    answer = api.send("POST", path, body, Idempotency_Key=str(uuid4()))
    assert answer.status_code == 201, answer.text
    return answer.json


def opens(api: Api, key: str, path: str = "/v1/quotes") -> int:
    return api.client.get(path, headers={"Authorization": f"Bearer {key}"}).status_code


def test_a_key_opens_what_its_roles_do_until_it_is_ended(api: Api) -> None:
    new = made(api, label="Sales system", roles=["sales", "sales"])
    assert (new["roles"], new["revoked_at"]) == (["sales"], None)
    assert (opens(api, new["key"]), opens(api, new["key"], "/v1/keys")) == (200, 403)
    shown = {each["prefix"]: each for each in api.send("GET", "/v1/keys").json["items"]}
    assert shown[new["prefix"]]["label"] == "Sales system"
    assert new["key"] not in str(shown)
    assert api.send("DELETE", f"/v1/keys/{new['prefix']}").status_code == 204
    assert opens(api, new["key"]) == 401
    problem(api.send("DELETE", f"/v1/keys/{new['prefix']}"), 404)


def test_a_rotated_key_may_hold_a_while_longer(api: Api) -> None:
    old = made(api, label="Sales system", roles=["sales"])
    new = made(api, f"/v1/keys/{old['prefix']}/rotation", grace_hours=1)
    assert (opens(api, old["key"]), opens(api, new["key"])) == (200, 200)
    newest = made(api, f"/v1/keys/{new['prefix']}/rotation")
    assert (opens(api, new["key"]), opens(api, newest["key"])) == (401, 200)


def test_the_same_request_makes_one_key(api: Api) -> None:
    body, mark = {"label": "Once", "roles": ["office"]}, str(uuid4())
    first, second = (api.send("POST", "/v1/keys", body, Idempotency_Key=mark) for _ in range(2))
    assert first.data == second.data
    assert [each["label"] for each in api.send("GET", "/v1/keys").json["items"]].count("Once") == 1


def test_no_office_locks_itself_out_and_no_other_firm_does(api: Api) -> None:
    own = api.key("office").split("_")[1]
    assert problem(api.send("DELETE", f"/v1/keys/{own}"), 409)["code"] == "firm.own_key"
    stranger = Api(api.app, firm="other")
    problem(stranger.send("DELETE", f"/v1/keys/{own}"), 404)
    assert own not in str(stranger.send("GET", "/v1/keys").json)


@pytest.mark.parametrize("roles", [[], ["crew"], ["owner"], "sales"])
def test_a_key_has_roles_that_there_are(api: Api, roles: Any) -> None:
    answer = api.send("POST", "/v1/keys", {"label": "x", "roles": roles}, Idempotency_Key=str(uuid4()))
    assert all(each["pointer"].startswith("/roles") for each in problem(answer, 422)["errors"])
