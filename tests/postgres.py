"""A PostgreSQL for the tests: the one that is named, or a throwaway one from installed binaries.

The server refuses to run as root, so root hands it to `nobody`, in a folder of
its own. It listens on a Unix socket alone unless it is told an address, and its data is not worth an fsync.

The databases belong to an ordinary role, as they should in service: row-level
security does not bind a superuser.
"""

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

from sqlalchemy import URL, NullPool, create_engine, make_url, text
from sqlalchemy.exc import OperationalError

VARIABLE = "BAYWRIGHT_TEST_POSTGRES_URL"
DRIVER = "postgresql+psycopg"
START_S = 60
UNSAFE = ("--fsync=off", "--full_page_writes=off", "--autovacuum=off", "--max_wal_size=4GB", "--jit=off")
"""Nothing on it is worth the time, and no query of theirs the time that compiling it takes."""


@contextmanager
def throwaway_postgres() -> Iterator[Callable[..., str]]:
    """A function `new_database(template=None) -> SQLAlchemy URL`; its databases go when the block ends.

    `template` is the URL of a database to copy, which nobody may be using
    meanwhile. Raises RuntimeError when there is no PostgreSQL.
    """
    named = os.environ.get(VARIABLE)
    with _on_server(make_url(named).set(drivername=DRIVER)) if named else _on_own_server() as new_database:
        yield new_database


@contextmanager
def own_postgres(listens: str = "") -> Iterator[tuple["Server", Callable[..., str]]]:
    """A server that nobody else uses, to crash and start again, and `new_database` on it.

    At an address where it `listens` it knows those who give a password.
    """
    binaries = _binaries()
    # Not the temporary folder of the environment: a socket's path has at most 107 bytes, and
    # `nobody` must get there.
    folder = Path(tempfile.mkdtemp(prefix="baywright-", dir="/tmp"))
    try:
        server = Server(binaries, folder, someone_not_root(folder), listens)
        try:
            server.start()
            # What is on it goes with it: nothing has to be dropped or flushed.
            yield server, partial(_new_database, server.url, _new_role(server.url), [])
        finally:
            server.crash()
    finally:
        shutil.rmtree(folder)


@contextmanager
def _on_server(server: URL) -> Iterator[Callable[..., str]]:
    created: list[str] = []
    role = _new_role(server)
    try:
        yield partial(_new_database, server, role, created)
    finally:
        for name in created:
            _run(server, f'DROP DATABASE "{name}" WITH (FORCE)')
        _run(server, f"DROP ROLE {role.username}")


def _new_role(server: URL) -> URL:
    role = server.set(username=f"baywright_{uuid.uuid4().hex}", password=uuid.uuid4().hex)
    _run(server, f"CREATE ROLE {role.username} LOGIN PASSWORD '{role.password}'")
    return role


def _new_database(server: URL, role: URL, created: list[str], template: str | None = None) -> str:
    name = f"baywright_test_{uuid.uuid4().hex}"
    source = make_url(template).database if template else "template1"
    _run(server, f'CREATE DATABASE "{name}" TEMPLATE "{source}" OWNER {role.username}')
    created.append(name)
    return role.set(database=name).render_as_string(hide_password=False)


def _run(server: URL, statement: str) -> None:
    engine = create_engine(server, isolation_level="AUTOCOMMIT", poolclass=NullPool)
    with engine.connect() as connection:
        connection.execute(text(statement))


def _binaries() -> Path:
    """The folder of the newest server by Debian's layout, else of the one on the PATH."""
    by_version = {
        float(path.parts[-3]): path.parent for path in Path("/usr/lib/postgresql").glob("*/bin/initdb")
    }
    if by_version:
        return by_version[max(by_version)]
    on_path = shutil.which("initdb")
    if on_path is None:
        raise RuntimeError(
            f"These tests need PostgreSQL: set {VARIABLE} to a server where databases may be created, "
            "or install its binaries (on Debian: apt-get install postgresql)."
        )
    return Path(on_path).resolve().parent


@contextmanager
def _on_own_server() -> Iterator[Callable[..., str]]:
    with own_postgres() as (_, new_database):
        yield new_database


class Server:
    """A PostgreSQL server in a folder of its own."""

    listens = ""

    def __init__(self, binaries: Path, folder: Path, who: dict[str, Any], listens: str = "") -> None:
        self.binaries, self.folder, self.who, self.listens = binaries, folder, who, listens
        self.log, self.data = folder / "log", folder / "data"
        self.url = URL.create(DRIVER, username="postgres", database="postgres", query={"host": str(folder)})
        made = ["--no-sync", "--auth=trust", "--username=postgres", "--encoding=UTF8", "--locale=C"]
        initdb = [binaries / "initdb", *made, f"--pgdata={self.data}"]
        subprocess.run(initdb, check=True, stdout=subprocess.DEVNULL, **who)
        with (self.data / "pg_hba.conf").open("a") as known:
            known.write("host all all samenet scram-sha-256\n")

    def start(self) -> None:
        """Start, and wait until it answers."""
        run = [f"--unix_socket_directories={self.folder}", f"--listen_addresses={self.listens}", *UNSAFE]
        command = [self.binaries / "postgres", "-D", self.data, *run]
        with self.log.open("ab") as output:
            self.process = subprocess.Popen(command, stdout=output, stderr=output, **self.who)
        _wait(self.url, self.process, self.log)

    def crash(self) -> None:
        """Immediate shutdown: nothing is finished or flushed, and the next start recovers from the log."""
        self.process.send_signal(signal.SIGQUIT)
        self.process.wait()

    def cut(self) -> None:
        """End every connection."""
        ended = "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid <> pg_backend_pid()"
        _run(self.url, f"{ended} AND backend_type = 'client backend'")


def someone_not_root(folder: Path) -> dict[str, Any]:
    """Arguments for subprocess; the folder is handed over to whoever it is."""
    if os.geteuid() != 0:
        return {"cwd": folder}
    nobody = pwd.getpwnam("nobody")
    os.chown(folder, nobody.pw_uid, nobody.pw_gid)
    return {"cwd": folder, "user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}


def _wait(server: URL, process: subprocess.Popen[bytes], log: Path) -> None:
    deadline = time.monotonic() + START_S
    while True:
        try:
            return _run(server, "SELECT 1")
        except OperationalError as error:
            if process.poll() is not None or time.monotonic() > deadline:
                raise RuntimeError(f"PostgreSQL did not start: {log.read_text()}") from error
            time.sleep(0.05)
