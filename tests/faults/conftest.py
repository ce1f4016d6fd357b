"""A real server on each kind of database, and a client of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.faults import dying
from tests.faults.client import Client, Told
from tests.faults.driver import prepared
from tests.faults.server import Server


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """A server that is running, a client, and the file that says when a process is to die."""

    server: Server
    client: Client
    mark: Path


@pytest.fixture(scope="module")
def running(database_url: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """Three workers that die when they are told to."""
    folder = tmp_path_factory.mktemp("server")
    mark = folder / "dies"
    held = prepared(database_url)
    program = ("-m", "tests.faults.dying")
    server = Server(database_url, folder, workers=3, program=program, **{dying.VARIABLE: str(mark)})
    server.start()
    try:
        yield Running(server=server, client=Client(server.port, held, Told(), "a client"), mark=mark)
    finally:
        server.kill()
