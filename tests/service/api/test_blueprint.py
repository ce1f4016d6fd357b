"""Every route says who may call it, what it reads and what it answers with."""

from typing import Any

import pytest
from flask import Flask
from marshmallow import Schema, fields

from service.api.blueprint import Blueprint, needs, operators, public, reading
from service.api.openapi import Api
from service.errors import NotIdentified
from service.settings import Settings


class Bag(Schema):
    kg = fields.Float()


def answering(result: Any, **options: Any) -> Any:
    """What a route answers when its view returns `result`."""
    app, blp = Flask("trial"), Blueprint("trial", __name__, stores=False)
    app.config.update(API_TITLE="t", API_VERSION="1", OPENAPI_VERSION="3.1.0")

    @blp.route("/bag")
    @blp.response(200, Bag, **options)
    def bag() -> Any:
        return result

    app.testing = True
    Api(app).register_blueprint(blp)
    return app.test_client().get("/bag")


def test_headers_come_of_what_is_answered() -> None:
    answer = answering({"kg": 1.5}, headers_of=lambda bag: {"X-Kg": str(bag["kg"])})
    assert (answer.json, answer.headers["X-Kg"]) == ({"kg": 1.5}, "1.5")


def test_a_view_cannot_bring_status_and_headers_of_its_own() -> None:
    with pytest.raises(TypeError, match="headers_of"):
        answering(({"kg": 1.5}, 201))


def test_a_view_says_who_may_call_it() -> None:
    def view() -> str:
        return "done"

    assert needs("sales", "office")(view).needs == ("sales", "office")  # type: ignore[attr-defined]
    assert public(view).needs == ("public",)  # type: ignore[attr-defined]
    assert operators(view).needs == ("operator",)  # type: ignore[attr-defined]


def test_nobody_gets_past_the_roles(app: Flask) -> None:
    guarded = needs("sales")(lambda: "done")
    with app.test_request_context(), pytest.raises(NotIdentified):
        guarded()


def test_what_a_view_reads_adds_up() -> None:
    def view() -> None: ...

    assert reading("bytes")(reading("query")(view)).reads == {"query", "bytes"}  # type: ignore[attr-defined]


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: nothing is asked of it."""
    return sqlite_url


def test_every_change_may_carry_an_idempotency_key(app: Flask, settings: Settings) -> None:
    document = app.test_client().get("/openapi.json").json
    bare = [
        (path, method)
        for path, methods in document["paths"].items()
        for method, about in methods.items()
        if method in ("post", "put", "delete")
        and path.startswith("/v1/")
        and "Idempotency-Key" not in [each.get("name") for each in about.get("parameters", [])]
        and path != "/v1/takeoffs"
    ]
    assert bare == []
