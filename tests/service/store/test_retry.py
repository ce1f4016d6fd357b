"""Transactions on a database that is busy, restarting or out of reach; codes by the manuals of both."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Thread
from typing import Any

import psycopg
import pytest
from flask import Flask
from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.exc import IntegrityError, OperationalError, ProgrammingError

from service.errors import Unavailable
from service.store import quotes, retry
from service.store.retry import passing_as_unavailable, retried
from service.store.session import open_database, reading, writing
from tests.api import Api, operator_of, small_building


@pytest.fixture(scope="module")
def database_url(new_postgres: Callable[[], str]) -> str:
    """A PostgreSQL: the one that can be lost."""
    return new_postgres()


@pytest.fixture
def pauses(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The pauses that are taken, which take no time."""
    taken: list[float] = []
    monkeypatch.setattr(retry.time, "sleep", taken.append)
    return taken


def failing(*outcomes: Unavailable | str) -> Callable[[], str]:
    """A transaction that ends so, one time after another."""
    left = list(outcomes)

    def transaction() -> str:
        outcome = left.pop(0)
        if isinstance(outcome, Unavailable):
            raise outcome
        return outcome

    return transaction


BUSY, LOST = Unavailable("busy"), Unavailable("lost", undecided=True)


def test_what_was_given_up_is_run_again(pauses: list[float]) -> None:
    assert retried(failing(BUSY, BUSY, "done"), repeatable=False) == "done"
    assert len(pauses) == 2
    # Apart in time from others who wait: by up to a half, either way.
    for pause_s, about_s in zip(pauses, retry.PAUSES_S, strict=False):
        assert 0.5 * about_s <= pause_s <= 1.5 * about_s


def test_it_ends_at_last(pauses: list[float]) -> None:
    with pytest.raises(Unavailable) as raised:
        retried(failing(*[BUSY] * 9), repeatable=True)
    assert not raised.value.undecided
    assert len(pauses) == len(retry.PAUSES_S)


def test_what_has_waited_long_does_not_wait_again(
    pauses: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    moments = iter([0.0, retry.LONGEST_WAIT_S + 1])
    monkeypatch.setattr(retry.time, "monotonic", lambda: next(moments))
    with pytest.raises(Unavailable):
        retried(failing(BUSY, "never"), repeatable=True)
    assert pauses == []


def test_a_commit_in_doubt_is_run_again_only_when_that_has_no_second_effect(pauses: list[float]) -> None:
    assert retried(failing(LOST, "done"), repeatable=True) == "done"
    with pytest.raises(Unavailable) as raised:
        retried(failing(LOST, "a second effect"), repeatable=False)
    assert raised.value.undecided


def test_a_doubt_is_not_forgotten_when_the_database_stays_away(pauses: list[float]) -> None:
    with pytest.raises(Unavailable) as raised:
        retried(failing(LOST, *[BUSY] * 9), repeatable=True)
    assert raised.value.undecided


def test_sqlite_with_another_writer_is_busy(tmp_path: Path) -> None:
    database = open_database(f"sqlite:///{tmp_path / 'busy.sqlite3'}", makes=True)
    with writing(database), pytest.raises(Unavailable) as raised, writing(database, waits=False):
        pass
    assert not raised.value.undecided
    assert raised.value.__cause__.orig.sqlite_errorcode == sqlite3.SQLITE_BUSY
    database.dispose()


def test_what_does_not_pass_is_raised_as_it_is(tmp_path: Path, database: Engine) -> None:
    sqlite = create_engine(f"sqlite:///{tmp_path / 'a.sqlite3'}")
    for engine in (sqlite, database):
        with engine.begin() as connection:
            connection.execute(text("CREATE TEMPORARY TABLE once (a INTEGER PRIMARY KEY)"))
            connection.execute(text("INSERT INTO once VALUES (1)"))
            with pytest.raises(IntegrityError), passing_as_unavailable():
                connection.execute(text("INSERT INTO once VALUES (1)"))
        with (
            engine.begin() as connection,
            pytest.raises((OperationalError, ProgrammingError)),
            passing_as_unavailable(),
        ):
            connection.execute(text("SELECT * FROM nowhere"))
    sqlite.dispose()


@pytest.mark.parametrize("code", ["40P01", "40001", "57P01", "57P03", "53300", "55P03"])
def test_postgresql_codes_that_pass(database: Engine, code: str) -> None:
    raises = f"DO $$ BEGIN RAISE EXCEPTION 'a trial' USING ERRCODE = '{code}'; END $$"
    with pytest.raises(Unavailable), writing(database) as connection:
        connection.execute(text(raises))


def test_two_that_wait_for_each_other_both_get_through(database: Engine) -> None:
    with writing(database) as connection:
        connection.execute(text("CREATE TABLE pairs (id INTEGER PRIMARY KEY, total INTEGER)"))
        connection.execute(text("INSERT INTO pairs VALUES (1, 0), (2, 0)"))
    runs: list[int] = []

    def adds(first: int, second: int) -> None:
        def transaction() -> None:
            runs.append(first)
            with writing(database) as connection:
                for row in (first, second):
                    connection.execute(text(f"UPDATE pairs SET total = total + 1 WHERE id = {row}"))
                    connection.execute(text("SELECT pg_sleep(0.2)"))

        retried(transaction, repeatable=False)

    threads = [Thread(target=adds, args=order) for order in ((1, 2), (2, 1))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with reading(database) as connection:
        assert connection.execute(text("SELECT total FROM pairs")).scalars().all() == [2, 2]
    assert len(runs) > 2, "no deadlock came about"


def test_a_lock_is_not_waited_for_without_end(database: Engine) -> None:
    with reading(database) as connection:
        assert connection.execute(text("SHOW lock_timeout")).scalar_one() == "15s"


def test_a_server_that_is_not_there_is_unavailable() -> None:
    database = open_database("postgresql+psycopg://nobody@127.0.0.1:1/nothing")
    with pytest.raises(Unavailable), reading(database):
        pass


@contextmanager
def losing_the_connection(database: Engine, *, committed: bool) -> Iterator[list[str]]:
    """Cut the next connection that commits a write: before the server hears of it, or after."""
    lost: list[str] = []
    original = psycopg.Connection.commit

    def armed(connection: Connection) -> None:
        options = connection.get_execution_options()
        if options.get("writes") and options.get("waits", True) and not lost:
            lost.append("armed")

    def commit(connection: psycopg.Connection[Any]) -> None:
        if lost != ["armed"]:
            return original(connection)
        if committed:
            original(connection)
        lost.append("cut")
        connection.close()
        raise psycopg.OperationalError("the connection is lost")

    event.listen(database, "commit", armed)
    psycopg.Connection.commit = commit  # type: ignore[method-assign]
    try:
        yield lost
    finally:
        psycopg.Connection.commit = original  # type: ignore[method-assign]
        event.remove(database, "commit", armed)


@pytest.fixture
def served(app: Flask) -> Engine:
    """The database as the service has opened it."""
    database: Engine = app.extensions["database"]
    return database


def count(api: Api) -> int:
    """How many quotes there are."""
    return len(api.send("GET", "/v1/quotes?limit=200").json["items"])


def test_a_connection_that_is_cut_after_the_key_was_looked_up_is_not_noticed(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The transaction that found the key is gone: the one that answers is another."""
    quote = api.quote()
    short_by_id = quotes.short_by_id
    cut: list[int] = []

    def cuts(connection: Connection, **asked: Any) -> Any:
        if not cut:
            driver: Any = connection.connection.driver_connection
            cut.append(driver.info.backend_pid)
            with operator_of(api.app) as other, reading(other) as killer:
                killer.execute(text("SELECT pg_terminate_backend(:pid)"), {"pid": cut[0]})
        return short_by_id(connection, **asked)

    monkeypatch.setattr(quotes, "short_by_id", cuts)
    answer = api.send("GET", f"/v1/quotes/{quote['id']}")
    assert cut
    assert answer.status_code == 200
    assert answer.json["id"] == quote["id"]


@pytest.mark.parametrize("committed", [True, False])
def test_a_commit_in_doubt_is_cleared_up_by_the_key(api: Api, served: Engine, committed: bool) -> None:
    api.quote()
    before = count(api)
    with losing_the_connection(served, committed=committed) as lost:
        answer = api.send("POST", "/v1/quotes", small_building(), Idempotency_Key=f"doubt {committed}")
    assert lost == ["armed", "cut"]
    assert answer.status_code == 201
    assert count(api) == before + 1
    assert api.send("GET", answer.headers["Location"]).json == answer.json


@pytest.mark.parametrize("committed", [True, False])
def test_a_commit_in_doubt_is_told_without_a_key(api: Api, served: Engine, committed: bool) -> None:
    api.quote()
    before = count(api)
    with losing_the_connection(served, committed=committed) as lost:
        answer = api.send("POST", "/v1/quotes", small_building())
    assert lost == ["armed", "cut"]
    assert answer.status_code == 503
    assert int(answer.headers["Retry-After"]) > 0
    assert "not known" in answer.json["detail"]
    assert count(api) == before + committed


def test_a_connection_that_was_cut_before_the_commit_is_not_noticed(api: Api, served: Engine) -> None:
    api.quote()
    before = count(api)
    cut = []

    def cuts(connection: Connection, *_rest: Any) -> None:
        if connection.get_execution_options().get("writes") and not cut:
            cut.append(connection.connection.dbapi_connection.info.backend_pid)
            with operator_of(api.app) as other, reading(other) as killer:
                killer.execute(text("SELECT pg_terminate_backend(:pid)"), {"pid": cut[0]})

    event.listen(served, "before_cursor_execute", cuts)
    try:
        answer = api.send("POST", "/v1/quotes", small_building())
    finally:
        event.remove(served, "before_cursor_execute", cuts)
    assert cut
    assert answer.status_code == 201
    assert count(api) == before + 1
