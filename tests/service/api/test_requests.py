"""Every answer, whatever it is, carries the headers that keep browsers careful."""

import json
import logging
import sys
from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy import Engine, text
from sqlalchemy.exc import IntegrityError
from werkzeug.test import TestResponse

from service.api.requests import HEADERS, JsonLines, log
from service.store.session import writing
from tests.api import Api

pytestmark = pytest.mark.one_database


@pytest.fixture(scope="module")
def certificate(app: Any) -> Any:
    return Api(app).issue(Api(app).worked()).json


def answers(api: Api, certificate: Any) -> dict[str, TestResponse]:
    """One answer of every kind."""
    path = f"/v1/certificates/{certificate['id']}"
    link = api.send("POST", f"{path}/links", {"days": 1}).json["url"].partition("/clients/")[2]
    document = api.send("GET", f"{path}/document")
    found = {
        "data": api.send("GET", path),
        "list": api.send("GET", "/v1/quotes"),
        "document": document,
        "not modified": api.send("GET", f"{path}/document", If_None_Match=document.headers["ETag"]),
        "options": api.client.options("/v1/quotes"),
        "head": api.client.head("/healthz"),
        "no key": api.client.get("/v1/quotes"),
        "not allowed": api.send("GET", "/v1/price-lists", role="installer"),
        "not known": api.send("GET", "/v1/nowhere"),
        "no such method": api.send("DELETE", "/v1/quotes"),
        "not readable": api.send("POST", "/v1/takeoffs", None),
        "page of a number": api.client.get(
            f"/verify/{certificate['number']}", headers={"Accept": "text/html"}
        ),
        "page of no number": api.client.get("/verify/X", headers={"Accept": "text/html"}),
        "page of no client": api.client.get("/clients/X", headers={"Accept": "text/html"}),
        "page of a client": api.client.get(f"/clients/{link}"),
        "documentation": api.client.get("/docs/"),
        "a page of it": api.client.get("/docs/quotes"),
        "its document": api.client.get("/openapi.json"),
        "health": api.client.get("/readyz"),
        "figures": api.client.get("/metrics"),
    }
    for answer in found.values():
        answer.close()
    return found


def test_every_answer_has_them(api: Api, certificate: Any) -> None:
    own = {"Content-Security-Policy", "Cache-Control"}
    for kind, answer in answers(api, certificate).items():
        assert "X-Request-Id" in answer.headers, kind
        for name, value in HEADERS.items():
            assert answer.headers.getlist(name) == [value] or (name in own and name in answer.headers), (
                kind,
                name,
            )
        policy = answer.headers["Content-Security-Policy"]
        assert "frame-ancestors 'none'" in policy, kind
        assert "default-src 'none'" in policy or kind in ("documentation", "its script"), kind
        assert "unsafe" not in policy or kind in ("documentation", "its script"), kind


def test_nothing_tells_what_it_runs_on(api: Api, certificate: Any) -> None:
    for kind, answer in answers(api, certificate).items():
        assert not {"Server", "X-Powered-By"} & set(answer.headers.keys()), kind


@pytest.mark.both_databases
def test_an_error_of_the_database_is_logged_without_the_values(database: Engine) -> None:
    row = text("INSERT INTO firms (id, code, data) VALUES (:id, 'trial', :data)")
    values = {"id": uuid4().hex, "data": json.dumps({"name": "A client\nof ours"})}
    with pytest.raises(IntegrityError) as caught, writing(database) as connection:
        connection.execute(row, values)
    record = logging.makeLogRecord({"exc_info": (caught.type, caught.value, caught.tb)})
    logged = json.loads(JsonLines().format(record))["trace"]
    assert "INSERT INTO firms" in logged
    assert "client" not in logged
    assert "of ours" not in logged


def test_what_goes_wrong_is_logged_by_kind_and_place_and_never_by_what_it_says() -> None:
    """What an error says may quote a request: a client's token, a row that PostgreSQL refused."""
    try:
        try:
            raise KeyError("TOKEN of a client")
        except KeyError as error:
            raise ValueError("DETAIL: Failing row contains (A client)") from error
    except ValueError:
        record = logging.makeLogRecord({"exc_info": sys.exc_info()})
    logged = json.loads(JsonLines().format(record))["trace"]
    assert "client" not in logged
    assert [line for line in logged.splitlines() if "Error" in line] == [
        "builtins.KeyError",
        "builtins.ValueError",
    ]
    assert f"{__file__}:" in logged


def test_a_method_that_is_none_is_not_logged(api: Api, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level("INFO", log.name):
        log.propagate, before = True, log.propagate
        api.client.open("/clients/TOKEN", method="TOKEN", headers={"X-Request-Id": "T O K E N"})
        log.propagate = before
    assert {(line.method, line.route) for line in caplog.records} == {("other", "other")}
    assert not any("TOKEN" in str(vars(line)) for line in caplog.records)


def test_an_unexpected_error_has_them_too(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise RuntimeError

    monkeypatch.setattr("service.usecases.work.quotes.quotes.page", fail)
    monkeypatch.setattr("service.api.problems.log.error", lambda *a, **k: None)
    answer = api.send("GET", "/v1/quotes")
    assert answer.status_code == 500
    assert HEADERS.items() <= dict(answer.headers).items()
