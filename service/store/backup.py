"""Backups, taken while the service works: everything that was committed when the backup began."""

import os
import shutil
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path

from sqlalchemy import URL

from service.engine.ground.messages import message
from service.errors import Conflict, SettingsWrong
from service.store.session import POOLED, address


def back_up(database_url: str, target: Path) -> None:
    """Write a backup to `target`; raises Conflict when it is there, SettingsWrong when it cannot be made."""
    if target.exists():
        raise Conflict(message("store.backup_there", file=str(target)))
    url = address(database_url)
    partial = target.with_name(f"{target.name}.partial")
    # What is in it is the firms' and their clients': nobody else may read it, not even for a moment.
    os.close(os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600))
    try:
        (_copy_sqlite if url.get_backend_name() == "sqlite" else _dump_postgresql)(url, partial)
        _settle(partial)
        partial.rename(target)
    finally:
        partial.unlink(missing_ok=True)


def _copy_sqlite(url: URL, target: Path) -> None:
    # An empty file is a database in which nothing was made yet.
    if not url.database or not Path(url.database).is_file() or not Path(url.database).stat().st_size:
        raise SettingsWrong("There is no database to back up.")
    try:
        verdict = _copied(url.database, target)
    except sqlite3.DatabaseError as error:
        raise SettingsWrong(f"The database cannot be backed up: {error}.") from None
    if verdict != "ok":
        raise SettingsWrong(f"The database is damaged: {verdict}.")


def _copied(database: str, target: Path) -> str:
    """What SQLite says of the copy of a database: `ok` where it is whole."""
    with closing(sqlite3.connect(database)) as source, closing(sqlite3.connect(target)) as copy:
        # All pages in one step: one moment, and no writer has to wait for it.
        source.backup(copy)
        (verdict,) = copy.execute("PRAGMA integrity_check").fetchone()
    return str(verdict)


def _dump_postgresql(url: URL, target: Path) -> None:
    if shutil.which("pg_dump") is None:
        raise SettingsWrong("pg_dump is not installed here: it comes with PostgreSQL's client programs.")
    # `set` takes None for "as it is", and the address would then name a password of three stars.
    server = url._replace(drivername="postgresql", password=None).difference_update_query([POOLED])
    # Row-level security hides every firm's rows from the tables' own owner too, unless he asks for all.
    environment = {**os.environ, "PGOPTIONS": "-c baywright.firm=every"}
    if url.password:
        environment["PGPASSWORD"] = url.password
    command = [
        "pg_dump",
        "--format=custom",
        "--enable-row-security",
        f"--file={target}",
        f"--dbname={server.render_as_string()}",
    ]
    run = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)  # noqa: S603
    if run.returncode != 0:
        raise SettingsWrong(f"pg_dump failed: {run.stderr.strip()}")


def _settle(file: Path) -> None:
    """See to it that the bytes are on the disk before the file has its name."""
    with file.open("rb") as written:
        os.fsync(written.fileno())
