"""Transactions behave alike on both databases: whole, held to a firm, and without waiting where asked."""

import os
import time
from pathlib import Path

import pytest
from sqlalchemy import Engine, text
from sqlalchemy.exc import IntegrityError

from service.errors import SettingsWrong, Unavailable
from service.store.session import BUSY_MS, address, is_bound, open_database, reading, writing

ADD = text("INSERT INTO firms (id, code, data, created_at) VALUES (:id, :code, '{}', '2026-11-25 08:00:00')")


def names(database: Engine) -> set[str]:
    with reading(database) as connection:
        return set(connection.execute(text("SELECT code FROM firms")).scalars())


def add(database: Engine, code: str, number: int, *, again: bool = False) -> None:
    row = {"id": f"0197f000-0000-7000-8000-{number:012d}", "code": code}
    with writing(database) as connection:
        for _ in range(2 if again else 1):
            connection.execute(ADD, row)


def test_a_block_that_ends_is_kept_and_one_that_raises_is_not(database: Engine) -> None:
    add(database, "kept", 1)
    with pytest.raises(IntegrityError):
        add(database, "lost", 2, again=True)
    assert "kept" in names(database)
    assert "lost" not in names(database)


def test_a_still_transaction_sees_what_was_there_when_it_began(database: Engine) -> None:
    with reading(database, still=True) as connection:
        before = connection.execute(text("SELECT count(*) FROM firms")).scalar_one()
        add(database, "meanwhile", 4)
        assert connection.execute(text("SELECT count(*) FROM firms")).scalar_one() == before
    assert "meanwhile" in names(database)


def test_who_does_not_wait_for_another_writer_is_told_at_once(sqlite_url: str) -> None:
    database = open_database(sqlite_url)
    began = time.monotonic()
    with writing(database), pytest.raises(Unavailable), writing(database, waits=False):
        pass
    # Of waiting the processor knows nothing: the clock on the wall, and half of what waiting would take.
    assert time.monotonic() - began < BUSY_MS / 2000
    database.dispose()


def test_nobody_else_may_read_the_files_of_a_database_wherever_they_lie(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        database = open_database(f"sqlite:///{tmp_path / 'new.sqlite3'}")
        with writing(database) as connection:
            connection.execute(text("CREATE TABLE a (b INTEGER)"))
            assert sorted(_modes(tmp_path).values()) == [0o600] * 3, "the file, its log and its index"
    finally:
        os.umask(before)
    database.dispose()


def test_files_that_others_may_read_are_taken_from_them(tmp_path: Path) -> None:
    """Such as those of a backup that was copied back."""
    path = tmp_path / "a.sqlite3"
    for name in ("a.sqlite3", "a.sqlite3-wal", "a.sqlite3-shm"):
        (tmp_path / name).touch()
        (tmp_path / name).chmod(0o644)
    open_database(f"sqlite:///{path}").dispose()
    assert set(_modes(tmp_path).values()) == {0o600}


def test_a_database_that_others_may_read_for_good_is_not_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError

    path = tmp_path / "a.sqlite3"
    path.touch()
    path.chmod(0o644)
    monkeypatch.setattr(os, "chmod", refuse)
    with pytest.raises(SettingsWrong, match="cannot be made 0600"):
        open_database(f"sqlite:///{path}")


def _modes(folder: Path) -> dict[str, int]:
    return {path.name: path.stat().st_mode & 0o777 for path in folder.iterdir()}


def test_foreign_keys_hold(database: Engine) -> None:
    series = text("INSERT INTO series (firm_id, kind, year, last) VALUES (:id, 'quote', 2026, 1)")
    with pytest.raises(IntegrityError), writing(database) as connection:
        connection.execute(series, {"id": "0197f000-0000-7000-8000-00000000dead"})


def test_row_level_security_binds_the_tests(database: Engine) -> None:
    with reading(database) as connection:
        assert is_bound(connection)


@pytest.mark.parametrize(
    "url", ["", "a word", "mysql://host/x", "postgresql://host/x", "postgresql+psycopg2://host/x"]
)
def test_what_is_no_address_of_ours_is_refused(url: str) -> None:
    with pytest.raises(SettingsWrong, match="BAYWRIGHT_DATABASE_URL"):
        address(url)


def test_a_file_needs_its_folder(tmp_path: Path) -> None:
    assert address(f"sqlite:///{tmp_path}/x").database == f"{tmp_path}/x"
    with pytest.raises(SettingsWrong, match="no folder"):
        address(f"sqlite:///{tmp_path}/none/x")
