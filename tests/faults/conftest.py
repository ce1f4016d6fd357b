"""A real server on each kind of database, and a client of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.faults import dying
from tests.faults.client import Client, Told
from tests.faults.driver import prepared
from tests.faults.dying import MOMENTS
from tests.faults.server import Server
from tests.long import LONG


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


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """In the short form each process that dies does so on one kind of database, in turn; else on both."""
    dying = [item for item in items if "::test_a_request_whose_process_died" in item.nodeid]
    left = [] if LONG else _black(dying)
    if left:
        items[:] = [item for item in items if item not in left]
        config.hook.pytest_deselected(items=left)


def _black(dying: list[Any]) -> list[Any]:
    """Things and moments make a chessboard: its white squares are one database's, its black the other's."""
    things = list(dict.fromkeys(item.callspec.params["prepare"] for item in dying))
    return [
        item
        for item in dying
        if (things.index(item.callspec.params["prepare"]) + MOMENTS.index(item.callspec.params["moment"])) % 2
        == (item.callspec.params["database_url"] == "sqlite")
    ]
