"""Whether the service can work, in a sentence when it cannot."""

from pathlib import Path

from sqlalchemy import Engine

from service.store.session import open_database
from service.usecases.keeping.health import not_isolated_because, not_ready_because


def test_a_migrated_database_is_ready_and_isolates(database: Engine) -> None:
    assert not_ready_because(database) is None
    assert not_isolated_because(database) is None


def test_one_without_tables_asks_to_be_migrated(tmp_path: Path) -> None:
    empty = open_database(f"sqlite:///{tmp_path}/empty.sqlite3")
    assert "baywright migrate" in str(not_ready_because(empty))
    empty.dispose()


def test_one_that_cannot_be_had_is_said_not_to_answer() -> None:
    gone = open_database("postgresql+psycopg://nobody@127.0.0.1:1/none")
    assert not_ready_because(gone) == "The database does not answer."
    gone.dispose()
