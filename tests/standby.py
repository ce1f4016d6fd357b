"""A hot standby of a throwaway PostgreSQL: a copy that follows it, and from which can only be read."""

import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import create_engine, make_url, text

from tests.postgres import START_S, Server, someone_not_root


class Standby(Server):
    """A server that began as a copy of another, and follows it from there on."""

    def __init__(self, primary: Server, folder: Path) -> None:
        self.binaries, self.folder, self.who = primary.binaries, folder, someone_not_root(folder)
        self.log, self.data = folder / "log", folder / "data"
        self.primary = primary
        self.url = primary.url.set(query={"host": str(folder)})
        from_primary = [f"--host={primary.folder}", "--username=postgres", "--checkpoint=fast", "--no-sync"]
        copy = [
            self.binaries / "pg_basebackup",
            *from_primary,
            "--write-recovery-conf",
            f"--pgdata={self.data}",
        ]
        subprocess.run(copy, check=True, stdout=subprocess.DEVNULL, **self.who)

    def address(self, url: str) -> str:
        """Where a database of the primary's is found here."""
        return make_url(url).set(query={"host": str(self.folder)}).render_as_string(hide_password=False)

    def has_followed(self) -> None:
        """Wait until it has all that was committed up to now."""
        now = asked(self.primary, "SELECT pg_current_wal_lsn()::text")
        deadline = time.monotonic() + START_S
        while not asked(self, f"SELECT pg_last_wal_replay_lsn() >= '{now}'::pg_lsn"):
            if time.monotonic() > deadline:
                raise RuntimeError("The standby does not follow.")
            time.sleep(0.05)


def asked(server: Server, question: str) -> Any:
    """What a server answers its superuser."""
    engine = create_engine(server.url)
    try:
        with engine.connect() as connection:
            return connection.execute(text(question)).scalar_one()
    finally:
        engine.dispose()


@contextmanager
def following(primary: Server) -> Iterator[Standby]:
    """A standby of a server, gone when the block ends."""
    folder = Path(tempfile.mkdtemp(prefix="baywright-", dir="/tmp"))
    try:
        standby = Standby(primary, folder)
        standby.start()
        try:
            yield standby
        finally:
            standby.crash()
    finally:
        shutil.rmtree(folder)
