"""A pooler in front of a throwaway PostgreSQL: PgBouncer, which gives connections out by transaction."""

import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import make_url

from tests.postgres import START_S, Server

CONFIGURATION = """
[databases]
* = host={folder} port=5432
[pgbouncer]
listen_port = 6432
listen_addr =
unix_socket_dir = {folder}
auth_type = trust
auth_file = {folder}/users
pool_mode = transaction
default_pool_size = {connections}
logfile = {folder}/pooler.log
"""


@contextmanager
def pooler(server: Server, database_url: str, *, connections: int) -> Iterator[str]:
    """The address of a database through a pooler that has so many connections to it.

    Raises RuntimeError where none is installed.
    """
    program = shutil.which("pgbouncer", path="/usr/sbin:/usr/bin:/usr/local/bin")
    if program is None:
        raise RuntimeError("These tests need PgBouncer (on Debian: apt-get install pgbouncer).")
    folder, direct = server.folder, make_url(database_url)
    (folder / "users").write_text(f'"{direct.username}" ""\n')
    (folder / "pooler.ini").write_text(CONFIGURATION.format(folder=folder, connections=connections))
    process = subprocess.Popen([program, "-q", folder / "pooler.ini"], **server.who)
    try:
        # A socket is found by its port.
        _wait(folder / ".s.PGSQL.6432", process)
        pooled = direct.set(port=6432).update_query_dict({"pooled": "1"})
        yield pooled.render_as_string(hide_password=False)
    finally:
        process.kill()
        process.wait()


def _wait(socket: Path, process: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + START_S
    while not socket.exists():
        if process.poll() is not None or time.monotonic() > deadline:
            raise RuntimeError("The pooler did not start.")
        time.sleep(0.05)
