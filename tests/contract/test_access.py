"""Who may call what: every route times every role, another firm's key, an ended key, and none."""

from collections.abc import Mapping
from datetime import UTC, datetime
from io import BytesIO
from typing import Any, NamedTuple
from uuid import NAMESPACE_URL, uuid4, uuid5

import pytest
from flask import Flask
from PIL import Image
from werkzeug.test import TestResponse

from service.api.blueprint import OPERATOR, PUBLIC
from service.usecases.firm import keys
from service.usecases.firm.keys import ROLES
from tests.api import ACCEPTED, Api, operator_of, problem, small_building

pytestmark = pytest.mark.usefixtures("papers_plain")


class Decision(NamedTuple):
    """Who may call a route, and a body that it reads when it wants one."""

    roles: tuple[str, ...]
    body: Any = None


def picture() -> bytes:
    """A small photo."""
    content = BytesIO()
    Image.new("RGB", (64, 48), "grey").save(content, "JPEG")
    return content.getvalue()


ANYBODY = Decision((PUBLIC,))
OPERATORS = Decision((OPERATOR,))
READERS = ("sales", "installer", "signatory", "office")
ALL_AT_WORK = ("sales", "installer", "signatory", "office", "crew")
SELLERS = ("sales", "office")
CREW = ("installer", "office")
OFFICE = ("office",)
STOCK = {
    "kind": "reclaimed",
    "id": "0197f000-0000-7000-8000-000000000001",
    "happened_at": "2026-11-25T08:00:00Z",
    "by": "Crew 1",
    "mass_kg": 0,
}
SUPPLEMENT = {
    "id": "0197f000-0000-7000-8000-000000000002",
    "by": "Crew 1",
    "lines": [{"text": "Skip for rubble", "quantity": 1, "unit": "piece"}],
}
PICTURE = picture()
FOUND = {**small_building()["cavities"][0], "label": "F1"}
ACCEPTANCE = {"name": "A client", "document_sha256": "0" * 64}
SUBSCRIPTION = {"url": "https://sales.example/events", "events": ["quote.offered"]}
LANCE = {"length_mm": 1000, "diameter_mm": 50}

# The bare address leads to the documentation; the link to a certificate opens no supplement.
ELSEWHERE = {"GET /": 302, "GET /clients/<string:token>/supplements/<uuid:supplement_id>/document": 404}

# The decisions, as the roles of the contract have them. A route that is not here fails.
DECISIONS: Mapping[str, Decision] = {
    "POST /v1/takeoffs": Decision(SELLERS, {}),
    "POST /v1/estimates": Decision(SELLERS, {}),
    "POST /v1/estimates/drafts": Decision(SELLERS, {}),
    "GET /v1/survey-template": Decision(SELLERS),
    "GET /v1/quotes/<uuid:quote_id>/survey": Decision(SELLERS),
    "GET /v1/exports/quotes": Decision(SELLERS),
    "GET /v1/exports/parts": Decision(SELLERS),
    "GET /v1/exports/entries": Decision(SELLERS),
    "GET /v1/exports/certificates": Decision(SELLERS),
    "POST /v1/quotes": Decision(SELLERS, {}),
    "GET /v1/quotes": Decision(SELLERS),
    "GET /v1/quotes/<uuid:quote_id>": Decision(SELLERS),
    "GET /v1/quotes/<uuid:quote_id>/working": Decision(SELLERS),
    "PUT /v1/quotes/<uuid:quote_id>": Decision(SELLERS, small_building()),
    "POST /v1/quotes/<uuid:quote_id>/offer": Decision(SELLERS),
    "POST /v1/quotes/<uuid:quote_id>/revisions": Decision(SELLERS),
    "POST /v1/quotes/<uuid:quote_id>/copies": Decision(SELLERS, {"reference": "A copy"}),
    "POST /v1/quotes/<uuid:quote_id>/acceptance": Decision(SELLERS, ACCEPTED),
    "POST /v1/quotes/<uuid:quote_id>/withdrawal": Decision(SELLERS),
    "POST /v1/quotes/<uuid:quote_id>/erasure": Decision(OFFICE, {"reason": "A trial"}),
    "GET /v1/quotes/<uuid:quote_id>/document": Decision(SELLERS),
    "POST /v1/quotes/<uuid:quote_id>/links": Decision(SELLERS, {"days": 1}),
    "GET /v1/quotes/<uuid:quote_id>/links": Decision(SELLERS),
    "GET /v1/jobs": Decision(ALL_AT_WORK),
    "GET /v1/jobs/<uuid:job_id>": Decision(ALL_AT_WORK),
    "GET /v1/jobs/<uuid:job_id>/working": Decision(ALL_AT_WORK),
    "GET /v1/jobs/<uuid:job_id>/document": Decision(ALL_AT_WORK),
    "GET /v1/jobs/<uuid:job_id>/archive": Decision(OFFICE),
    "GET /v1/jobs/<uuid:job_id>/assignment": Decision(READERS),
    "PUT /v1/jobs/<uuid:job_id>/assignment": Decision(OFFICE, {"days": []}),
    "GET /v1/crews": Decision(OFFICE),
    "POST /v1/crews": Decision(OFFICE, {"name": "Crew of a trial"}),
    "POST /v1/crews/<uuid:crew_id>/link": Decision(OFFICE),
    "DELETE /v1/crews/<uuid:crew_id>": Decision(OFFICE),
    "POST /v1/jobs/<uuid:job_id>/entries": Decision((*CREW, "crew"), {"entries": [STOCK]}),
    "GET /v1/jobs/<uuid:job_id>/entries": Decision(ALL_AT_WORK),
    "PUT /v1/jobs/<uuid:job_id>/photos/<uuid:photo_id>": Decision((*CREW, "crew"), PICTURE),
    "GET /v1/jobs/<uuid:job_id>/photos": Decision(ALL_AT_WORK),
    "GET /v1/jobs/<uuid:job_id>/photos/<uuid:photo_id>": Decision(ALL_AT_WORK),
    "GET /v1/jobs/<uuid:job_id>/assessment": Decision(ALL_AT_WORK),
    "POST /v1/jobs/<uuid:job_id>/concessions": Decision(
        OFFICE, {"condition": "stock_unreconciled", "reason": "A trial", "granted_by": "Office"}
    ),
    "POST /v1/jobs/<uuid:job_id>/supplements": Decision(("sales", *CREW, "crew"), SUPPLEMENT),
    "GET /v1/jobs/<uuid:job_id>/supplements": Decision(ALL_AT_WORK),
    "GET /v1/jobs/<uuid:job_id>/supplements/<uuid:supplement_id>": Decision(ALL_AT_WORK),
    "POST /v1/jobs/<uuid:job_id>/supplements/<uuid:supplement_id>/offer": Decision(SELLERS, {}),
    "POST /v1/jobs/<uuid:job_id>/supplements/<uuid:supplement_id>/acceptance": Decision(SELLERS, ACCEPTED),
    "POST /v1/jobs/<uuid:job_id>/supplements/<uuid:supplement_id>/refusal": Decision(SELLERS, {}),
    "POST /v1/jobs/<uuid:job_id>/supplements/<uuid:supplement_id>/withdrawal": Decision(
        ("sales", *CREW, "crew"), {}
    ),
    "POST /v1/jobs/<uuid:job_id>/supplements/<uuid:supplement_id>/takeover": Decision(
        OFFICE, {"by": "Office", "reason": "A trial"}
    ),
    "GET /v1/jobs/<uuid:job_id>/supplements/<uuid:supplement_id>/document": Decision(SELLERS),
    "POST /v1/jobs/<uuid:job_id>/closure": Decision(OFFICE),
    "GET /v1/jobs/<uuid:job_id>/certificates": Decision(READERS),
    "GET /v1/jobs/<uuid:job_id>/certificates/preview": Decision(("signatory", "office")),
    "GET /v1/jobs/<uuid:job_id>/certificates/preview/document": Decision(("signatory", "office")),
    "POST /v1/jobs/<uuid:job_id>/certificates": Decision(("signatory",), {"signed_by": "A signatory"}),
    "GET /v1/certificates/<uuid:certificate_id>": Decision(READERS),
    "GET /v1/certificates/<uuid:certificate_id>/document": Decision(READERS),
    "GET /v1/certificates/<uuid:certificate_id>/record": Decision(("sales", "signatory", "office")),
    "GET /v1/certificates/<uuid:certificate_id>/links": Decision(SELLERS),
    "POST /v1/certificates/<uuid:certificate_id>/links": Decision(SELLERS, {"days": 1}),
    "POST /v1/certificates/<uuid:certificate_id>/withdrawal": Decision(OFFICE, {"reason": "A trial"}),
    "DELETE /v1/links/<uuid:link_id>": Decision(SELLERS),
    "GET /v1/materials": Decision(READERS),
    "PUT /v1/materials/<code:code>": Decision(OFFICE, {}),
    "GET /v1/build-ups": Decision(SELLERS),
    "PUT /v1/build-ups/<code:code>": Decision(OFFICE, {}),
    "GET /v1/price-lists": Decision(SELLERS),
    "POST /v1/price-lists": Decision(OFFICE, {}),
    "GET /v1/lances": Decision(READERS),
    "PUT /v1/lances/<code:code>": Decision(OFFICE, LANCE),
    "GET /v1/practice": Decision(READERS),
    "PATCH /v1/price-lists/<code:code>": Decision(OFFICE, {}),
    "PATCH /v1/practice/<code:code>": Decision(OFFICE, {}),
    "POST /v1/practice/<code:code>/adoptions": Decision(OFFICE, {}),
    "GET /v1/anchors": Decision(OFFICE),
    "GET /v1/anchors/<string:day>": Decision(OFFICE),
    "GET /v1/keys": Decision(OFFICE),
    "POST /v1/keys": Decision(OFFICE, {}),
    "POST /v1/keys/<string:prefix>/rotation": Decision(OFFICE, {"grace_hours": 1}),
    "DELETE /v1/keys/<string:prefix>": Decision(OFFICE),
    "POST /v1/practice": Decision(OFFICE, {}),
    "GET /v1/events": Decision(SELLERS),
    "GET /v1/subscriptions": Decision(OFFICE),
    "GET /v1/subscriptions/<code:code>": Decision(OFFICE),
    "PUT /v1/subscriptions/<code:code>": Decision(OFFICE, SUBSCRIPTION),
    "POST /v1/subscriptions/<code:code>/secret": Decision(OFFICE, {}),
    "DELETE /v1/subscriptions/<code:code>": Decision(OFFICE),
    "GET /v1/stock": Decision(OFFICE),
    "GET /v1/exports/stock": Decision(OFFICE),
    "GET /v1/orders": Decision(OFFICE),
    "GET /v1/exports/orders": Decision(OFFICE),
    "GET /v1/orders/document": Decision(OFFICE),
    "GET /v1/summary": Decision(OFFICE),
    "GET /v1/exports/summary": Decision(OFFICE),
    "GET /clients/<string:token>": ANYBODY,
    "GET /clients/<string:token>/document": ANYBODY,
    "POST /clients/<string:token>/acceptance": Decision((PUBLIC,), ACCEPTANCE),
    "GET /clients/<string:token>/supplements/<uuid:supplement_id>/document": ANYBODY,
    "POST /clients/<string:token>/supplements/<uuid:supplement_id>/refusal": Decision((PUBLIC,), ACCEPTANCE),
    "POST /clients/<string:token>/supplements/<uuid:supplement_id>/acceptance": Decision(
        (PUBLIC,), ACCEPTANCE
    ),
    "GET /verify/<string:number>": ANYBODY,
    "GET /schemas/record/1": ANYBODY,
    "GET /healthz": ANYBODY,
    "GET /readyz": ANYBODY,
    "GET /metrics": OPERATORS,
    "GET /openapi.json": ANYBODY,
    "GET /crew/": ANYBODY,
    "GET /crew/<string:name>": ANYBODY,
    "GET /": ANYBODY,
    "GET /docs/": ANYBODY,
    "GET /docs/guide": ANYBODY,
    "GET /docs/client.yaml": ANYBODY,
    "GET /docs/sentences": ANYBODY,
    "GET /docs/<string:resource>": ANYBODY,
    "GET /problems/<string:kind>": ANYBODY,
}
NEED_A_KEY = {
    route: decision for route, decision in DECISIONS.items() if decision.roles[0] not in (PUBLIC, OPERATOR)
}
OF_A_THING = {route: decision for route, decision in NEED_A_KEY.items() if "_id>" in route}
# Routes that libraries bring along cannot say who may call them.
BROUGHT_ALONG = {
    "GET /",
    "GET /openapi.json",
    "GET /docs/",
    "GET /docs/guide",
    "GET /docs/client.yaml",
    "GET /docs/sentences",
    "GET /docs/<string:resource>",
    "GET /problems/<string:kind>",
}


def routes(app: Flask) -> dict[str, Any]:
    """What every route of the service says of itself."""
    return {
        f"{method} {rule.rule}": getattr(app.view_functions[rule.endpoint], "needs", None)
        for rule in app.url_map.iter_rules()
        for method in rule.methods - {"HEAD", "OPTIONS"}
    }


@pytest.fixture(scope="module")
def things(app: Flask) -> dict[str, str]:
    """Something of the demo firm for every variable of a route."""
    api = Api(app)
    job = api.worked()
    certificate = api.issue(job).json
    api.wait()
    path = f"/v1/certificates/{certificate['id']}"
    link, opened = (api.send("POST", f"{path}/links", {"days": 1}).json for _ in range(2))
    headers = {"Authorization": f"Bearer {api.key('installer')}", "Content-Type": "image/jpeg"}
    photo_id = str(uuid4())
    api.client.put(f"/v1/jobs/{job['id']}/photos/{photo_id}", data=PICTURE, headers=headers)
    spare = {"label": "Spare", "roles": ["sales"]}
    key = api.send("POST", "/v1/keys", spare, Idempotency_Key="spare").json
    assert (
        api.send("PUT", "/v1/subscriptions/L-TRIAL", SUBSCRIPTION, Idempotency_Key="told").status_code == 200
    )
    crew = api.send("POST", "/v1/crews", {"name": "Crew 1"}, Idempotency_Key="crew").json
    today = api.anchored()
    said = {"id": str(uuid4()), "by": "Crew 1", "cavities": [FOUND]}
    supplement = api.send("POST", f"/v1/jobs/{job['id']}/supplements", said, Idempotency_Key="found").json
    return {
        "<uuid:crew_id>": crew["id"],
        "<string:prefix>": key["prefix"],
        "<string:day>": today,
        "<uuid:supplement_id>": supplement["id"],
        "<string:name>": "app.js",
        "<uuid:quote_id>": job["quote_id"],
        "<uuid:job_id>": job["id"],
        "<uuid:certificate_id>": certificate["id"],
        "<uuid:link_id>": link["id"],
        "<uuid:photo_id>": photo_id,
        "<code:code>": "L-TRIAL",
        "<string:number>": certificate["number"],
        "<string:token>": opened["url"].rpartition("/")[2],
        "<string:resource>": "quotes",
        "<string:kind>": "conflict",
    }


def call(api: Api, route: str, things: Mapping[str, str], authorization: str | None) -> TestResponse:
    """Call a route with something in the place of its variables."""
    method, _, path = route.partition(" ")
    for variable, thing in things.items():
        path = path.replace(variable, thing)
    headers = {"Idempotency-Key": str(uuid5(NAMESPACE_URL, f"{route} {authorization}"))}
    if method == "PUT" or path.endswith("/certificates"):
        headers["If-Match"] = '"1"'
    if authorization is not None:
        headers["Authorization"] = authorization
    body = DECISIONS[route].body
    if isinstance(body, bytes):
        return api.client.open(
            path, method=method, data=body, headers={**headers, "Content-Type": "image/jpeg"}
        )
    return api.client.open(path, method=method, json=body, headers=headers)


def test_every_route_has_a_decision_and_keeps_it(app: Flask) -> None:
    found = routes(app)
    assert found.keys() == DECISIONS.keys()
    said = {route: decision.roles for route, decision in DECISIONS.items()}
    assert {**found, **dict.fromkeys(BROUGHT_ALONG, (PUBLIC,))} == said


@pytest.mark.parametrize("route", OF_A_THING)
def test_another_firms_things_are_not_there(api: Api, things: dict[str, str], route: str) -> None:
    stranger = Api(api.app, firm="other")
    answer = call(api, route, things, f"Bearer {stranger.key(*ROLES)}")
    problem(answer, 404)


@pytest.fixture(scope="module")
def wrong(app: Flask) -> tuple[str | None, ...]:
    """What may stand in the Authorization header without opening anything."""
    right, now = Api(app).key(*ROLES), datetime.now(UTC)
    with operator_of(app) as database:
        ended = keys.add(database, firm_code="demo", roles=list(ROLES), label="ended", now=now)
        keys.revoke(database, prefix=ended.split("_")[1], now=now)
    return (None, "", "Bearer", f"Bearer {ended}", f"Basic {right}", right, f"Bearer {right[:-1]}!")


@pytest.mark.parametrize("route", NEED_A_KEY)
def test_without_a_key_that_holds_nothing_answers(
    api: Api, things: dict[str, str], wrong: tuple[str | None, ...], route: str
) -> None:
    for sent in wrong:
        answer = call(api, route, things, sent)
        problem(answer, 401)
        assert answer.headers["WWW-Authenticate"] == "Bearer"


@pytest.mark.parametrize("route", [route for route, decision in DECISIONS.items() if decision == ANYBODY])
def test_what_is_for_anybody_needs_no_key(api: Api, things: dict[str, str], route: str) -> None:
    with call(api, route, things, None) as answer:
        assert answer.status_code == ELSEWHERE.get(route, 200)


@pytest.mark.parametrize("path", ["/v1/quotes", "/v1/jobs"])
def test_another_firms_things_are_in_no_list(api: Api, things: dict[str, str], path: str) -> None:
    ids = [things["<uuid:quote_id>"], things["<uuid:job_id>"]]
    mine = api.send("GET", path).text
    theirs = Api(api.app, firm="other").send("GET", path).text
    assert any(each in mine for each in ids)
    assert not any(each in theirs for each in ids)


@pytest.mark.parametrize("route", NEED_A_KEY)
def test_a_role_opens_its_own_routes_and_no_others(api: Api, things: dict[str, str], route: str) -> None:
    # The last in this file: what is withdrawn, revoked or erased here is gone for the others.
    opened = []
    for role in ROLES:
        with call(api, route, things, f"Bearer {api.key(role)}") as answer:
            if role in NEED_A_KEY[route].roles:
                opened.append(answer.status_code)
            else:
                problem(answer, 403)
    assert not [status for status in opened if status in (401, 403) or status >= 500]
    # Else the refusals of another firm's key would say nothing.
    assert set(opened) != {404}
