"""Every route says who may call it, and nobody else gets in."""

import pytest
from flask import Flask

from service.api.blueprint import PUBLIC
from service.usecases.keys import ROLES
from tests.api import Api

UNGUARDED = {"/openapi.json", "/docs/", "/docs/<path:path>", "/docs/dist/<path:path>"}
ANYTHING = "0197f000-0000-7000-8000-000000000000"


def routes(app: Flask) -> list[tuple[str, str, tuple[str, ...]]]:
    """Every (method, path, roles) of the service."""
    found = []
    for rule in app.url_map.iter_rules():
        view = app.view_functions[rule.endpoint]
        for method in sorted(rule.methods - {"HEAD", "OPTIONS"}):
            found.append((method, rule.rule, getattr(view, "needs", None)))
    return found


def filled(rule: str) -> str:
    """A rule with something in the place of its variables."""
    for name in ("quote_id", "job_id", "certificate_id", "link_id"):
        rule = rule.replace(f"<uuid:{name}>", ANYTHING)
    return rule.replace("<string:code>", "X").replace("<string:number>", "X").replace("<string:token>", "X")


def test_every_route_has_decided_who_may_call_it(app: Flask) -> None:
    undecided = {rule for _, rule, roles in routes(app) if roles is None}
    assert undecided <= UNGUARDED


def test_without_a_key_nothing_guarded_answers(app: Flask) -> None:
    client = app.test_client()
    for method, rule, roles in routes(app):
        if roles and PUBLIC not in roles:
            answer = client.open(filled(rule), method=method, json={})
            assert answer.status_code == 401, (method, rule)
            assert answer.headers["WWW-Authenticate"] == "Bearer"


@pytest.mark.parametrize("role", ROLES)
def test_a_role_opens_its_own_routes_and_no_others(api: Api, role: str) -> None:
    for method, rule, roles in routes(api.app):
        if not roles or PUBLIC in roles:
            continue
        answer = api.send(method, filled(rule), {} if method != "GET" else None, role=role)
        if role in roles:
            assert answer.status_code not in (401, 403, 500), (method, rule)
        else:
            assert answer.status_code == 403, (method, rule)


def test_a_revoked_key_opens_nothing(api: Api) -> None:
    from service.usecases import keys
    from tests.api import NOW, operator_of

    key = api.key("sales")
    assert api.send("GET", "/v1/quotes", role="sales").status_code == 200
    keys.revoke(operator_of(api.app), prefix=key.split("_")[1], now=NOW)
    assert api.send("GET", "/v1/quotes", role="sales").status_code == 401


def test_another_firms_things_are_not_there(api: Api) -> None:
    quote = api.quote()
    stranger = Api(api.app, firm="other")
    for method, path in (
        ("GET", f"/v1/quotes/{quote['id']}"),
        ("POST", f"/v1/quotes/{quote['id']}/offer"),
        ("GET", f"/v1/quotes/{quote['id']}/document"),
    ):
        assert stranger.send(method, path, role="sales").status_code == 404
    assert quote["id"] not in stranger.send("GET", "/v1/quotes", role="sales").text
