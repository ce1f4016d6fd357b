"""A request under an Idempotency-Key has its effect once, and its first answer ever after.

The behaviour is that of the IETF's draft (httpapi, idempotency-key-header), sections 2.4 to 2.7.
Twins that arrive at once, and processes that die, are under tests/faults.
"""

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import BytesIO
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from PIL import Image
from sqlalchemy import Engine, func, select, update
from werkzeug.test import TestResponse

from service.documents.papers import quote
from service.errors import DocumentFailed
from service.store.session import reading, writing
from service.store.tables import answers
from service.usecases.firm import keys
from tests.api import ACCEPTED, SIGNATORY, Api, building, day_of, small_building

pytestmark = pytest.mark.usefixtures("papers_plain")

# What belongs to the one answer, and not to what was asked.
OF_ONE_ANSWER = {"X-Request-Id", "Date"}


def seen(answer: TestResponse) -> tuple[int, bytes, list[tuple[str, str]]]:
    """All that a caller sees of an answer."""
    headers = [(name, value) for name, value in answer.headers if name not in OF_ONE_ANSWER]
    return answer.status_code, answer.data, sorted(headers)


def twice(
    api: Api, path: str, body: Any = None, *, status: int = 201, role: str = "office", **headers: str
) -> Any:
    """A request sent twice under one key; both answers must be the same to the last byte."""
    key = str(uuid4())
    headers["Idempotency_Key"] = key
    first = api.send("POST", path, body, role=role, **headers)
    assert first.status_code == status, first.text
    assert seen(api.send("POST", path, body, role=role, **headers)) == seen(first)
    return first.json


def without_none(value: Any) -> Any:
    """A version as it is posted: what it leaves out is answered as null."""
    if isinstance(value, dict):
        return {name: without_none(member) for name, member in value.items() if member is not None}
    return [without_none(member) for member in value] if isinstance(value, list) else value


def count(api: Api, path: str) -> int:
    """How many there are of something."""
    (items,) = (value for value in api.send("GET", path).json.values() if isinstance(value, list))
    return len(items)


def test_every_step_of_the_path_is_repeated_byte_for_byte(api: Api) -> None:
    before = count(api, "/v1/quotes?limit=200")
    quote_path = f"/v1/quotes/{twice(api, '/v1/quotes', small_building())['id']}"
    assert count(api, "/v1/quotes?limit=200") == before + 1
    twice(api, f"{quote_path}/offer", status=200)
    twice(api, f"{quote_path}/links", {"days": 3})
    job_id = twice(api, f"{quote_path}/acceptance", ACCEPTED)["job_id"]
    job = api.send("GET", f"/v1/jobs/{job_id}/working").json
    batches = day_of(job)
    for batch in batches:
        twice(api, f"/v1/jobs/{job_id}/entries", {"entries": batch})
    assert count(api, f"/v1/jobs/{job_id}/entries") == sum(map(len, batches))
    seen_before = {"role": "signatory", "If_Match": api.preview(job).headers["ETag"]}
    issued = twice(api, f"/v1/jobs/{job_id}/certificates", {"signed_by": SIGNATORY}, **seen_before)
    assert issued["state"] == "in_force"
    withdrawal = f"/v1/certificates/{issued['id']}/withdrawal"
    assert twice(api, withdrawal, {"reason": "A trial"}, status=200)["state"] == "withdrawn"
    assert twice(api, f"/v1/jobs/{job_id}/closure", status=200)["state"] == "closed"


def test_what_else_is_stored_is_repeated_byte_for_byte(api: Api) -> None:
    job = api.job()
    empty = {"condition": "stock_unreconciled"}
    twice(api, f"/v1/jobs/{job['id']}/concessions", {**empty, "reason": "A trial", "granted_by": "Office"})
    twice(api, f"/v1/quotes/{api.quote()['id']}/withdrawal", status=200)
    for path in ("/v1/price-lists", "/v1/practice"):
        version = without_none(api.send("GET", path).json["items"][0])
        for given in ("id", "created_at"):
            version.pop(given)
        before = count(api, path)
        twice(api, path, version | {"name": "Another name"})
        assert count(api, path) == before + 1


def test_a_photo_is_taken_in_once(api: Api) -> None:
    content = BytesIO()
    Image.new("RGB", (64, 48), (120, 110, 90)).save(content, "JPEG")
    headers = {"Authorization": f"Bearer {api.key('installer')}", "Idempotency-Key": str(uuid4())}
    path = f"/v1/jobs/{api.job()['id']}/photos/{uuid4()}"
    sent = {"path": path, "headers": headers, "content_type": "image/jpeg"}
    first, again = (api.client.put(data=content.getvalue(), **sent) for _ in range(2))
    assert first.status_code == 200
    assert path.endswith(first.json["id"])
    assert seen(again) == seen(first)
    assert api.client.put(data=content.getvalue() + b"\0", **sent).status_code == 422


def test_a_key_is_good_for_one_request_alone(api: Api) -> None:
    key = str(uuid4())
    path = f"/v1/quotes/{api.quote()['id']}"
    assert api.send("POST", f"{path}/offer", Idempotency_Key=key).status_code == 200
    version = api.send("GET", path).headers["ETag"]
    for other, said in ((f"{path}/acceptance", ACCEPTED), (f"{path}/withdrawal", None)):
        refused = api.send("POST", other, said, Idempotency_Key=key)
        assert refused.status_code == 422
        assert "Idempotency-Key" in refused.json["detail"]
    assert api.send("GET", path).headers["ETag"] == version
    key = str(uuid4())
    assert api.send("POST", "/v1/quotes", small_building(), Idempotency_Key=key).status_code == 201
    other_body = small_building(reference="another")
    assert api.send("POST", "/v1/quotes", other_body, Idempotency_Key=key).status_code == 422


def test_two_callers_may_choose_the_same_key(api: Api) -> None:
    key = str(uuid4())
    made = [
        api.send("POST", "/v1/quotes", small_building(), role=role, Idempotency_Key=key).json["id"]
        for role in ("office", "sales")
    ]
    assert made[0] != made[1]


def rotated(api: Api, database: Engine, role: str, grace: timedelta = timedelta(0)) -> str:
    """The key in whose place another one is from now on."""
    old = api.key(role)
    now = datetime.now(UTC)
    api.keys[role] = keys.rotate(database, prefix=old.split("_")[1], grace=grace, now=now)
    return old


def test_a_rotated_key_finds_what_was_answered_to_those_before_it(api: Api, database: Engine) -> None:
    sent = {"body": small_building(), "role": "sales", "Idempotency_Key": str(uuid4())}
    first = api.send("POST", "/v1/quotes", **sent)
    before = count(api, "/v1/quotes?limit=200")
    for _ in range(2):
        rotated(api, database, "sales")
        assert seen(api.send("POST", "/v1/quotes", **sent)) == seen(first)
    assert count(api, "/v1/quotes?limit=200") == before
    other = {**sent, "body": small_building(reference="another")}
    assert api.send("POST", "/v1/quotes", **other).status_code == 422


def test_in_the_grace_old_and_new_key_find_the_answers_of_each_other(api: Api, database: Engine) -> None:
    old = rotated(api, database, "sales", timedelta(hours=1))
    sent = {"body": small_building(), "role": "sales"}
    by_old = {**sent, "Idempotency_Key": str(uuid4()), "Authorization": f"Bearer {old}"}
    by_new = {**sent, "Idempotency_Key": str(uuid4())}
    first_of_old, first_of_new = (api.send("POST", "/v1/quotes", **each) for each in (by_old, by_new))
    assert (first_of_old.status_code, first_of_new.status_code) == (201, 201)
    with_other_key = {**by_old, "Authorization": f"Bearer {api.key('sales')}"}
    assert seen(api.send("POST", "/v1/quotes", **with_other_key)) == seen(first_of_old)
    with_other_key = {**by_new, "Authorization": f"Bearer {old}"}
    assert seen(api.send("POST", "/v1/quotes", **with_other_key)) == seen(first_of_new)


@pytest.mark.parametrize("stranger", ["another key of the firm", "another firm"])
def test_nobody_else_finds_the_answers_of_a_rotated_key(
    api: Api, app: Flask, database: Engine, stranger: str
) -> None:
    sent = {"body": small_building(), "Idempotency_Key": str(uuid4())}
    first = api.send("POST", "/v1/quotes", role="sales", **sent)
    rotated(api, database, "sales")
    its, role = (Api(app, "other"), "sales") if stranger == "another firm" else (api, "office")
    rotated(its, database, role)
    answer = its.send("POST", "/v1/quotes", role=role, **sent)
    assert answer.status_code == 201
    assert answer.json["id"] != first.json["id"]
    assert seen(api.send("POST", "/v1/quotes", role="sales", **sent)) == seen(first)


def test_a_refused_request_is_not_remembered(api: Api) -> None:
    key = str(uuid4())
    path = f"/v1/quotes/{api.quote()['id']}"
    assert api.send("POST", f"{path}/acceptance", ACCEPTED, Idempotency_Key=key).status_code == 409
    assert api.send("POST", f"{path}/offer").status_code == 200
    accepted = api.send("POST", f"{path}/acceptance", ACCEPTED, Idempotency_Key=key)
    assert accepted.status_code == 201
    assert seen(api.send("POST", f"{path}/acceptance", ACCEPTED, Idempotency_Key=key)) == seen(accepted)


def test_a_change_whose_answer_was_lost_can_be_sent_again(api: Api) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    tag = api.send("GET", path).headers["ETag"]
    sent = {"body": small_building(reference="another"), "If_Match": tag, "Idempotency_Key": str(uuid4())}
    first = api.send("PUT", path, **sent)
    assert first.status_code == 200
    assert seen(api.send("PUT", path, **sent)) == seen(first)
    assert api.send("PUT", path, **{**sent, "Idempotency_Key": str(uuid4())}).status_code == 412


@pytest.mark.parametrize("kind", ["materials", "lances"])
def test_what_is_put_twice_is_there_once(api: Api, kind: str) -> None:
    """RFC 9110, section 9.2.2."""
    before = count(api, f"/v1/{kind}")
    version = without_none(api.send("GET", f"/v1/{kind}").json["items"][0])
    path = f"/v1/{kind}/{version.pop('code')}"
    given = ("id", "created_at") if kind == "materials" else ("id", "created_at", "in_force_from")
    body = {name: value for name, value in version.items() if name not in given}
    first, again = (api.send("PUT", path, body) for _ in range(2))
    assert first.status_code == 200, first.text
    assert again.json == first.json
    # Of lances those in use are listed: another version takes the place of the one before.
    assert count(api, f"/v1/{kind}") == before


@pytest.mark.parametrize("key", ["", "x" * 201, "é", "a\tb"])
def test_a_key_that_cannot_be_is_refused(api: Api, key: str) -> None:
    assert api.send("POST", "/v1/quotes", small_building(), Idempotency_Key=key).status_code == 400


def test_what_was_kept_is_answered_whatever_the_service_would_say_today(api: Api, database: Engine) -> None:
    key = str(uuid4())
    assert api.send("POST", "/v1/quotes", small_building(), Idempotency_Key=key).status_code == 201
    kept = {"status": 201, "headers": [["Content-Type", "application/json"], ["ETag", '"9"']], "body": "{}"}
    with writing(database) as connection:
        connection.execute(update(answers).where(answers.c.idempotency_key == key).values(answer=kept))
    again = api.send("POST", "/v1/quotes", small_building(), Idempotency_Key=key)
    assert (again.status_code, again.text, again.headers["ETag"]) == (201, "{}", '"9"')


def _aged(database: Engine, days: int, *, but: str = "") -> None:
    then = datetime.now(UTC) - timedelta(days=days)
    with writing(database) as connection:
        connection.execute(update(answers).where(answers.c.idempotency_key != but).values(created_at=then))


def _kept(database: Engine) -> int:
    with reading(database) as connection:
        return connection.execute(select(func.count()).select_from(answers)).scalar_one()


def test_a_key_expires_and_then_is_new(api: Api, database: Engine) -> None:
    key, body = str(uuid4()), small_building()
    first = api.send("POST", "/v1/quotes", body, Idempotency_Key=key)
    _aged(database, 29)
    assert seen(api.send("POST", "/v1/quotes", body, Idempotency_Key=key)) == seen(first)
    _aged(database, 31)
    other = small_building(reference="another")
    second = api.send("POST", "/v1/quotes", other, Idempotency_Key=key)
    assert second.status_code == 201
    assert second.json["id"] != first.json["id"]
    assert seen(api.send("POST", "/v1/quotes", other, Idempotency_Key=key)) == seen(second)


def test_every_write_sweeps_a_few_expired_answers(api: Api, database: Engine) -> None:
    path, key = f"/v1/quotes/{api.quote()['id']}/withdrawal", str(uuid4())
    for _ in range(12):
        api.send("POST", "/v1/quotes", small_building(), Idempotency_Key=str(uuid4()))
    _aged(database, 31)
    before = _kept(database)
    assert before >= 12
    api.send("POST", path, Idempotency_Key=key)
    assert _kept(database) == before + 1 - 10


@pytest.mark.one_database
def test_an_offer_stands_when_its_document_cannot_be_made(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_facts: Any) -> bytes:
        raise DocumentFailed("A trial.")

    path = f"/v1/quotes/{api.quote()['id']}"
    api.wait()
    with monkeypatch.context() as patched:
        patched.setattr(quote, "pdf", fails)
        offered = api.send("POST", f"{path}/offer", Idempotency_Key=str(uuid4()))
        assert offered.status_code == 200
        assert offered.json["state"] == "offered"
        failed = api.send("GET", f"{path}/document")
    assert (failed.status_code, failed.json["state"], failed.json["attempts"]) == (202, "failed", 1)
    assert failed.json["error"]["code"] == "tasks.failed"
    assert "A trial" not in failed.text
    assert 1 <= int(failed.headers["Retry-After"]) <= 5
    assert api.wait(later=timedelta(seconds=5)) == 1
    assert api.send("GET", f"{path}/document").data.startswith(b"%PDF-")


def test_the_time_that_keys_are_kept_is_a_setting(app: Flask, database: Engine) -> None:
    api, key = Api(app), str(uuid4())
    first = api.send("POST", "/v1/quotes", small_building(), Idempotency_Key=key)
    _aged(database, 2)
    settings = app.extensions["settings"]
    app.extensions["settings"] = replace(settings, idempotency_days=1)
    try:
        again = api.send("POST", "/v1/quotes", small_building(), Idempotency_Key=key)
    finally:
        app.extensions["settings"] = settings
    assert again.json["id"] != first.json["id"]


def test_the_key_is_described_for_every_write(app: Flask) -> None:
    paths = app.test_client().get("/openapi.json").json["paths"]
    described = {
        f"{method} {path}": {p["name"]: p.get("required", False) for p in operation.get("parameters", [])}
        for path, operations in paths.items()
        for method, operation in operations.items()
        if method in ("post", "put", "delete") and path != "/v1/takeoffs"
    }
    assert len(described) > 15
    assert [each for each, headers in described.items() if "Idempotency-Key" not in headers] == []
    required = {each for each, headers in described.items() if headers["Idempotency-Key"]}
    assert required >= {"post /v1/jobs/{job_id}/entries", "post /v1/jobs/{job_id}/certificates"}
    assert described["put /v1/quotes/{quote_id}"]["If-Match"]


def test_an_answer_is_json_in_the_column(api: Api, database: Engine) -> None:
    """No part of an answer is kept in a form that only this version could read."""
    key = str(uuid4())
    first = api.send("POST", "/v1/quotes", building(), Idempotency_Key=key)
    with reading(database) as connection:
        kept = connection.execute(
            select(answers.c.answer).where(answers.c.idempotency_key == key)
        ).scalar_one()
    assert kept["body"].encode() == first.data
    assert json.loads(kept["body"]) == first.json
