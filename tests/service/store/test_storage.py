"""A disk that is full, read-only or failing: said so, nothing half stored, and over when it is over."""

import resource
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from sqlalchemy import Engine, event, text

from service.errors import Unavailable
from service.store import storage
from service.store.session import open_database, writing
from tests.api import Api, problem, small_building


def _pragma(app: Flask, told: str, undone: str) -> Iterator[None]:
    """Every connection of the service is told something, and then the contrary."""
    database: Engine = app.extensions["database"]

    def tell(connection: Any, *_: Any) -> None:
        connection.cursor().execute(f"PRAGMA {told}")

    event.listen(database, "checkout", tell)
    yield
    event.remove(database, "checkout", tell)
    with database.connect() as connection:
        connection.connection.cursor().execute(f"PRAGMA {undone}")


@contextmanager
def full(app: Flask) -> Iterator[None]:
    """SQLITE_FULL: the file may not grow by a page."""
    yield from _pragma(app, "max_page_count = 1", "max_page_count = 1000000")


@contextmanager
def read_only(app: Flask) -> Iterator[None]:
    """SQLITE_READONLY."""
    yield from _pragma(app, "query_only = ON", "query_only = OFF")


@contextmanager
def failing(app: Flask) -> Iterator[None]:
    """SQLITE_IOERR: the system refuses to write to files beyond their first bytes."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


@contextmanager
def standing_by(app: Flask) -> Iterator[None]:
    """PostgreSQL's read_only_sql_transaction: as on a standby."""
    database: Engine = app.extensions["database"]
    told = "ALTER DATABASE {} SET default_transaction_read_only = {}"
    # Whoever sets it back must not be bound by it.
    with database.connect() as connection:
        name = connection.execute(text("SELECT quote_ident(current_database())")).scalar_one()
        connection.execute(text(told.format(name, "on")))
        connection.commit()
    database.dispose()
    yield
    with database.connect() as connection:
        connection.execute(text("SET transaction_read_only = off"))
        connection.execute(text(told.format(name, "off")))
        connection.commit()
    database.dispose()


ON = {"sqlite": (full, read_only, failing), "postgresql": (standing_by,)}


def test_what_the_disk_refuses_is_503_and_nothing_is_stored(api: Api, app: Flask) -> None:
    client, sent = app.test_client(), {"role": "sales", "Idempotency_Key": str(uuid4())}
    quotes = {each["id"] for each in api.send("GET", "/v1/quotes").json["items"]} | {api.quote()["id"]}
    for spoil in ON[app.extensions["database"].dialect.name]:
        assert client.get("/readyz").status_code == 200
        with spoil(app):
            refused = api.send("POST", "/v1/quotes", small_building(), **sent)
            # Of a commit that failed the service does not know how it ended, and says so.
            said = "is not known" if spoil is failing else "Nothing was stored"
            assert said in problem(refused, 503)["detail"], (spoil, refused.text)
            assert int(refused.headers["Retry-After"]) > 0
            told = problem(client.get("/readyz"), 503)["detail"]
            assert "written" in told or "read" in told, spoil
            assert client.get("/healthz").status_code == 200
            assert api.send("GET", "/v1/quotes").status_code == 200, "what is there can be read"
        made = api.send("POST", "/v1/quotes", small_building(), **{**sent, "Idempotency_Key": str(uuid4())})
        assert made.status_code == 201, made.text
        assert client.get("/readyz").status_code == 200
        quotes |= {made.json["id"]}
    assert {each["id"] for each in api.send("GET", "/v1/quotes").json["items"]} == quotes


@pytest.mark.parametrize("code", ["53100", "58030", "58000", "25006"])
def test_postgresql_s_codes_of_the_disk(app: Flask, code: str) -> None:
    database: Engine = app.extensions["database"]
    if database.dialect.name == "sqlite":
        return
    raises = f"DO $$ BEGIN RAISE EXCEPTION 'a trial' USING ERRCODE = '{code}'; END $$"
    with pytest.raises(Unavailable) as raised, writing(database) as connection:
        connection.execute(text(raises))
    assert raised.value.lasting


def test_a_refusal_is_believed_for_a_minute(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    database = open_database(f"sqlite:///{tmp_path / 'a.sqlite3'}", makes=True)
    storage.note(database, refused=True)
    with database.connect() as connection:
        assert storage.fault(connection)
        monkeypatch.setattr(storage, "REMEMBERED_S", 0)
        assert storage.fault(connection) is None
        monkeypatch.setattr(storage, "LEAST_FREE_BYTES", 2**62)
        assert storage.fault(connection) == "The disk of the database is full."
        monkeypatch.setattr(storage.os, "access", lambda *_: False)
        assert storage.fault(connection) == "The file of the database can only be read."
    database.dispose()
