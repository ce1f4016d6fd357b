"""A real server and the worker beside it: it makes documents, is started anew, and ends with the server."""

import json
import os
import signal
import time
from collections.abc import Iterator
from contextlib import suppress
from http.client import HTTPConnection
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest

from service.store.session import open_database
from service.usecases.firm import keys
from tests.api import ACCEPTED, NOW, load_firms, small_building
from tests.faults.server import Server

WITHIN_S = 60


@pytest.fixture(scope="module")
def server(sqlite_url: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    load_firms(sqlite_url)
    server = Server(sqlite_url, tmp_path_factory.mktemp("server"), workers=1)
    server.start()
    yield server
    server.kill()


@pytest.fixture(scope="module")
def key(sqlite_url: str, server: Server) -> str:
    database = open_database(sqlite_url)
    key = keys.add(database, firm_code="demo", roles=["office"], label="trial", now=NOW)
    database.dispose()
    return key


def asked(server: Server, key: str, method: str, path: str, body: object = None) -> tuple[int, bytes]:
    connection = HTTPConnection("127.0.0.1", server.port, timeout=60)
    sent = {"Authorization": f"Bearer {key}", "Content-Type": "application/json"}
    connection.request(method, path, json.dumps(body) if body is not None else None, sent)
    answer = connection.getresponse()
    content = answer.read()
    connection.close()
    return answer.status, content


def waited_for(server: Server, key: str, path: str) -> bytes:
    """A document, asked for until it is there."""
    deadline = time.monotonic() + WITHIN_S
    while time.monotonic() < deadline:
        status, content = asked(server, key, "GET", path)
        if status != 202:
            assert status == 200, content
            return content
        time.sleep(0.2)
    raise AssertionError(f"{path} was not made")


def one_working(server: Server, *, other_than: int = 0) -> int:
    deadline = time.monotonic() + WITHIN_S
    while time.monotonic() < deadline:
        if [pid for pid in server.working_pids() if pid != other_than]:
            (pid,) = server.working_pids()
            return pid
        time.sleep(0.1)
    raise AssertionError("no worker works")


def test_documents_are_made_beside_the_server_also_when_the_worker_was_killed(
    server: Server, key: str
) -> None:
    killed = one_working(server)
    os.kill(killed, signal.SIGKILL)
    quote = json.loads(asked(server, key, "POST", "/v1/quotes", small_building())[1])["id"]
    asked(server, key, "POST", f"/v1/quotes/{quote}/offer")
    assert waited_for(server, key, f"/v1/quotes/{quote}/document").startswith(b"%PDF-")
    assert one_working(server, other_than=killed)
    job = json.loads(asked(server, key, "POST", f"/v1/quotes/{quote}/acceptance", ACCEPTED)[1])["job_id"]
    content = waited_for(server, key, f"/v1/jobs/{job}/archive")
    assert ZipFile(BytesIO(content)).testzip() is None


def test_the_worker_ends_with_its_server(server: Server) -> None:
    pid = one_working(server)
    server.process.terminate()
    assert server.process.wait(timeout=60) == 0
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


def test_whoever_answers_ends_with_the_process_it_comes_from(server: Server) -> None:
    server.start()
    one_working(server)
    pids = server.worker_pids()
    server.kill_arbiter()
    # By itself gunicorn's would look for it within a minute of its last request.
    deadline = time.monotonic() + WITHIN_S / 2
    while any(map(is_there, pids)):
        assert time.monotonic() < deadline
        time.sleep(0.1)


def is_there(pid: int) -> bool:
    """Whether a process lives; who reaps it may take its time."""
    with suppress(FileNotFoundError, ProcessLookupError):
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    return False
