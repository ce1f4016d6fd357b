"""Whether the service can work, in a sentence when it cannot."""

from pathlib import Path

import pytest
from sqlalchemy import Engine

from service.engine.ground.messages import message
from service.errors import Unavailable
from service.store import storage
from service.store.session import open_database
from service.usecases.keeping.health import (
    not_isolated_because,
    not_ready_because,
    unfit_because,
    without_contents_because,
)
from tests.objects import ObjectStore


def test_a_migrated_database_is_ready_and_isolates(database: Engine) -> None:
    assert not_ready_because(database) is None
    assert not_isolated_because(database) is None


def test_one_without_tables_asks_to_be_migrated(tmp_path: Path) -> None:
    empty = open_database(f"sqlite:///{tmp_path}/empty.sqlite3", makes=True)
    assert "baywright migrate" in str(not_ready_because(empty))
    empty.dispose()


def test_one_that_cannot_be_had_is_said_not_to_answer() -> None:
    gone = open_database("postgresql+psycopg://nobody@127.0.0.1:1/none")
    assert not_ready_because(gone) == "The database does not answer."
    gone.dispose()


def test_the_operator_is_told_why_it_does_not_answer() -> None:
    gone = open_database("postgresql+psycopg://nobody@127.0.0.1:1/none")
    with pytest.raises(Unavailable) as raised:
        unfit_because(gone)
    assert "port 1" in str(raised.value.__cause__)
    gone.dispose()


def test_a_file_that_can_only_be_read_is_named_before_sqlite_says_that_it_cannot_be_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shut = open_database(f"sqlite:///{tmp_path}/shut.sqlite3", makes=True)
    monkeypatch.setattr(storage.os, "access", lambda *_: False)
    assert unfit_because(shut) == "The file of the database can only be read."
    shut.dispose()


def test_an_object_store_that_is_away_is_said_and_the_operator_goes_on(
    database: Engine, store: ObjectStore
) -> None:
    beside = open_database(database.url.render_as_string(hide_password=False), objects=store.opened())
    assert without_contents_because(beside) is None
    store.stop()
    assert without_contents_because(beside) == message("store.objects_away")
    assert not_ready_because(beside) is None
    store.start()
    assert without_contents_because(beside) is None
    beside.dispose()
