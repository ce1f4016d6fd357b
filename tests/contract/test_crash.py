"""A server is killed between a certificate's record and its file: the file comes, the number stays."""

import hashlib
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from threading import Thread
from typing import Any
from uuid import UUID

import pytest
from flask import Flask
from sqlalchemy import Engine

from service.settings import Settings
from service.store import certificates
from service.store.session import open_database
from service.usecases.keeping import checks, tasks
from tests.api import Api, work_off
from tests.stalled import STEPS

ROOT = Path(__file__).parents[2]
LONGEST_WAIT_S = 60
STALLED = "stalled\n"
# As the tests' client writes it: a repeated request is the same to the byte.
BODY = '{"signed_by":"A signatory"}'
PROGRAMS = {"Accept": "application/json"}


@pytest.fixture
def database(database_url: str) -> Iterator[Engine]:
    """The database as its operator sees it: every firm's rows."""
    engine = open_database(database_url, operator=True)
    yield engine
    engine.dispose()


def free_port() -> int:
    """A port that nobody listens at."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@contextmanager
def server(settings: Settings, step: str, port: int) -> Iterator[subprocess.Popen[str]]:
    """A server that stalls at the step, in a process group of its own."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.stalled", step, str(port)],
        cwd=ROOT,
        env={
            **os.environ,
            "BAYWRIGHT_DATABASE_URL": settings.database_url,
            "BAYWRIGHT_SECRET_KEY": settings.secret_key,
            "BAYWRIGHT_PUBLIC_URL": settings.public_url,
        },
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    with process:
        try:
            wait_for(port, process)
            yield process
        finally:
            kill(process)


def wait_for(port: int, process: subprocess.Popen[str]) -> None:
    """Wait until the server listens."""
    deadline = time.monotonic() + LONGEST_WAIT_S
    while True:
        try:
            return socket.create_connection(("127.0.0.1", port)).close()
        except ConnectionRefusedError:
            assert process.poll() is None
            assert time.monotonic() < deadline
            time.sleep(0.05)


def kill(process: subprocess.Popen[str]) -> None:
    """End a server with all of its processes, as a power cut would."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)


def kill_when_stalled(process: subprocess.Popen[str], said: list[str]) -> None:
    """Kill the server when it has come to its step; what it said last is kept."""
    assert process.stdout is not None
    # Before that it says where it answers.
    said.append(next((line for line in process.stdout if line == STALLED), "it never stalled"))
    kill(process)


def killed_at(step: str, settings: Settings, path: str, key: str, tag: str) -> None:
    """Ask a server for a certificate; it is killed when its worker has come to the step."""
    port, said = free_port(), []
    headers = {
        "Authorization": f"Bearer {key}",
        "Content-Type": "application/json",
        "Idempotency-Key": step,
        "If-Match": tag,
    }
    with server(settings, step, port) as process:
        killer = Thread(target=kill_when_stalled, args=(process, said))
        killer.start()
        connection = HTTPConnection("127.0.0.1", port, timeout=LONGEST_WAIT_S)
        with closing(connection):
            connection.request("POST", path, BODY, headers)
            # The worker may be faster than the answer.
            with suppress(HTTPException, OSError):
                assert connection.getresponse().status == 201
            killer.join()
    assert said == [STALLED]


def latest(database: Engine, job: Any) -> Any:
    """The newest certificate of a job, as it lies in the database."""
    with database.connect() as connection:
        return certificates.of_job(connection, UUID(job["id"]))[-1]


@pytest.mark.databases_in_turn("step")
@pytest.mark.parametrize("step", STEPS)
def test_a_killed_server_leaves_a_record_that_gets_its_file(
    app: Flask, settings: Settings, database: Engine, step: str
) -> None:
    api = Api(app)
    job = api.worked()
    # The offer's document would be the first to stall.
    api.wait()
    path = f"/v1/jobs/{job['id']}/certificates"
    tag = api.preview(job).headers["ETag"]
    killed_at(step, settings, path, api.key("signatory"), tag)

    said = api.send("GET", f"/v1/jobs/{job['id']}").json
    assert said["state"] == "certified"
    left = latest(database, job)
    public = f"/verify/{left['number']}"
    assert api.client.get(public, headers=PROGRAMS).json["file_sha256"] is None
    assert "Its file has not been made yet" in api.client.get(public, headers={"Accept": "text/html"}).text

    waits = api.send("GET", f"/v1/certificates/{left['id']}/document")
    assert (waits.status_code, waits.json["state"]) == (202, "being_made")
    # What else the request left to be done may have been done before.
    assert work_off(app, later=tasks.LEASE, kinds=["certificate"]) == 1
    file = api.send("GET", f"/v1/certificates/{left['id']}/document")
    assert file.status_code == 200
    assert file.data.startswith(b"%PDF-")
    digest = hashlib.sha256(file.data).hexdigest()
    assert api.client.get(public, headers=PROGRAMS).json["file_sha256"] == digest

    body = {"signed_by": "A signatory"}
    again = api.send("POST", path, body, role="signatory", Idempotency_Key=step, If_Match=tag)
    assert again.status_code == 201, again.text
    assert (again.json["id"], again.json["number"]) == (str(left["id"]), left["number"])
    assert latest(database, job)["id"] == left["id"]
    following = api.issue(job).json["number"]
    assert int(following.rpartition("-")[2]) == left["serial"] + 1
    assert checks.verify(database).faults == ()
