"""SQLite's files are their owner's alone, and its transactions begin as they are asked to."""

import os
import time
from pathlib import Path

import pytest
from sqlalchemy import text

from service.errors import SettingsWrong, Unavailable
from service.store.session import open_database, reading, writing
from service.store.sqlite import BUSY_MS
from service.store.storage import file_fault


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
        database = open_database(f"sqlite:///{tmp_path / 'new.sqlite3'}", makes=True)
        with writing(database) as connection:
            connection.execute(text("CREATE TABLE a (b INTEGER)"))
            assert sorted(_modes(tmp_path).values()) == [0o600] * 3, "the file, its log and its index"
    finally:
        os.umask(before)
    database.dispose()


def test_a_database_that_is_gone_is_not_made_anew_by_who_goes_on(tmp_path: Path) -> None:
    path = tmp_path / "a b?#.sqlite3"
    database = open_database(f"sqlite:///{str(path).replace('?', '%3F')}", makes=True)
    path.unlink()
    with pytest.raises(Unavailable), reading(database) as connection:
        connection.execute(text("SELECT 1"))
    assert list(tmp_path.iterdir()) == []
    assert file_fault(database) == "The file of the database is gone."
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
