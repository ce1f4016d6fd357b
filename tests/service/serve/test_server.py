"""A real server: its temporary files, what is no request, and a stop that finishes what was begun."""

import json
import signal
import socket
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

import pytest
from gunicorn.config import Config

from service.errors import SettingsWrong
from service.serve.server import FIGURES, DiscreetLogger, serve
from service.settings import Settings
from service.store.session import open_database
from service.usecases.firm import keys
from tests.api import NOW, building, load_firms, small_building
from tests.faults.server import METRICS_KEY, Server


@pytest.fixture(scope="module")
def url(sqlite_url: str) -> str:
    """A database with a firm: one kind of it is enough for what is asked here."""
    load_firms(sqlite_url)
    return sqlite_url


@pytest.fixture(scope="module")
def key(url: str) -> str:
    database = open_database(url)
    key = keys.add(database, firm_code="demo", roles=["office"], label="trial", now=NOW)
    database.dispose()
    return key


@contextmanager
def running(url: str, folder: Path, workers: int = 2) -> Iterator[Server]:
    """A server whose temporary files are in this folder."""
    server = Server(url, folder, workers=workers)
    server.start()
    try:
        yield server
    finally:
        server.kill()


@pytest.fixture(scope="module")
def server(url: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server for all the tests that only ask it something."""
    with running(url, tmp_path_factory.mktemp("server")) as server:
        yield server


def folders(folder: Path) -> set[str]:
    return {path.name for path in folder.glob(f"{FIGURES}*")}


def test_it_says_where_it_answers_and_where_to_read_on(server: Server) -> None:
    at = f"http://127.0.0.1:{server.port}"
    assert f"Baywright answers at {at}; its documentation is at {at}/docs" in server.log.read_text()


def test_without_an_address_for_everybody_it_does_not_start(url: str) -> None:
    settings = Settings(database_url=url, secret_key="a secret for the tests only")
    with pytest.raises(SettingsWrong, match="export BAYWRIGHT_PUBLIC_URL=http://127"):
        serve(settings, host="127.0.0.1", port=8000, workers=1)


def test_what_a_killed_server_leaves_the_next_one_removes_and_nothing_else(url: str, tmp_path: Path) -> None:
    elsewhere, others = tmp_path / "elsewhere", {f"{FIGURES}link", f"{FIGURES}file"}
    elsewhere.mkdir()
    (elsewhere / "kept").touch()
    (tmp_path / f"{FIGURES}link").symlink_to(elsewhere)
    (tmp_path / f"{FIGURES}file").touch()
    with running(url, tmp_path):
        left = folders(tmp_path) - others
        assert len(left) == 1
    assert folders(tmp_path) == left | others
    with running(url, tmp_path):
        assert (elsewhere / "kept").exists()
        assert folders(tmp_path) > others
        its = folders(tmp_path) - others
        assert len(its) == 1
        assert its != left


def test_what_a_living_server_uses_is_left_alone(server: Server, url: str) -> None:
    folder = server.log.parent
    its = folders(folder)
    assert len(its) == 1
    with running(url, folder):
        assert folders(folder) > its
    assert "baywright_requests_total" in server.figures()
    assert its < folders(folder)


def request(server: Server, key: str, method: str, path: str, body: Any = None) -> tuple[int, bytes]:
    connection = HTTPConnection("127.0.0.1", server.port, timeout=60)
    sent = {"Authorization": f"Bearer {key}", "Content-Type": "application/json"}
    connection.request(method, path, json.dumps(body) if body is not None else None, sent)
    answer = connection.getresponse()
    content = answer.read()
    connection.close()
    return answer.status, content


def connected(server: Server) -> socket.socket:
    return socket.create_connection(("127.0.0.1", server.port), timeout=60)


def head(key: str, length: int) -> bytes:
    """The head of a quote whose body is still to come."""
    return (
        f"POST /v1/quotes HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {key}\r\n"
        f"Content-Type: application/json\r\nContent-Length: {length}\r\n\r\n"
    ).encode()


def test_a_body_cut_short_stores_nothing(server: Server, key: str) -> None:
    before = len(json.loads(request(server, key, "GET", "/v1/quotes")[1])["items"])
    content = json.dumps(small_building()).encode()
    with connected(server) as client:
        client.sendall(head(key, len(content) + 1) + content)
        client.shutdown(socket.SHUT_WR)
        assert client.recv(100).startswith(b"HTTP/1.1 400")
    assert len(json.loads(request(server, key, "GET", "/v1/quotes")[1])["items"]) == before


def test_a_body_in_chunks_is_read_and_one_that_is_too_large_refused(server: Server, key: str) -> None:
    content = json.dumps(small_building()).encode()
    chunked = head(key, 0).replace(b"Content-Length: 0", b"Transfer-Encoding: chunked")
    with connected(server) as client:
        chunks = b"".join(b"%x\r\n%s\r\n" % (len(part), part) for part in (content[:100], content[100:]))
        client.sendall(chunked + chunks + b"0\r\n\r\n")
        assert client.recv(100).startswith(b"HTTP/1.1 201")
    with connected(server) as client:
        client.sendall(chunked + b"xyz\r\n")
        assert client.recv(100).startswith(b"HTTP/1.1 400")
    with connected(server) as client:
        client.sendall(head(key, 5_000_000))
        assert client.recv(100).startswith(b"HTTP/1.1 413")


def test_a_client_that_waits_for_leave_to_send_its_body_gets_it(server: Server, key: str) -> None:
    content = json.dumps(small_building()).encode()
    with connected(server) as client:
        client.sendall(head(key, len(content)).replace(b"\r\n\r\n", b"\r\nExpect: 100-continue\r\n\r\n"))
        assert client.recv(100).startswith(b"HTTP/1.1 100")
        client.sendall(content)
        assert client.recv(100).startswith(b"HTTP/1.1 201")


POST = b"POST /v1/takeoffs HTTP/1.1\r\nHost: x\r\n"
GET = b"GET /healthz HTTP/1.1\r\nHost: x\r\n"
WIRE = {
    "not HTTP": b"hello\r\n\r\n",
    "an old version": b"GET /healthz HTTP/0.9\r\n\r\n",
    "a method that is none": b"G@T /healthz HTTP/1.1\r\nHost: x\r\n\r\n",
    "two lengths": POST + b"Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}x",
    "a length and chunks": (
        POST + b"Content-Length: 6\r\nTransfer-Encoding: chunked\r\n\r\n"
        b"0\r\n\r\nGET /healthz HTTP/1.1\r\nHost: x\r\n\r\n"
    ),
    "a negative length": POST + b"Content-Length: -1\r\n\r\n",
    "a length that is no number": POST + b"Content-Length: 1e3\r\n\r\n",
    "an unknown coding": POST + b"Transfer-Encoding: nothing\r\n\r\n",
    "a header without a name": GET + b": value\r\n\r\n",
    "a space before the colon": b"GET /healthz HTTP/1.1\r\nHost : x\r\n\r\n",
    "NUL in a header": GET + b"X-A: a\x00b\r\n\r\n",
    "a folded header": GET + b"X-A: a\r\n b\r\n\r\n",
    "a long line": b"GET /" + b"a" * 10_000 + b" HTTP/1.1\r\nHost: x\r\n\r\n",
    "a long header": GET + b"X-A: " + b"a" * 20_000 + b"\r\n\r\n",
    "many headers": GET + b"X-A: a\r\n" * 200 + b"\r\n",
}


REFUSED_WITH = {"a long line": 414, "a long header": 431, "many headers": 431, "an unknown coding": 501}


@pytest.mark.parametrize("what", WIRE)
def test_what_is_no_request_is_refused_and_nothing_is_read_behind_it(
    server: Server, key: str, what: str
) -> None:
    with connected(server) as client:
        client.sendall(WIRE[what])
        received = b""
        while part := client.recv(65_536):
            received += part
    assert received.startswith(b"HTTP/1.1 %d " % REFUSED_WITH.get(what, 400)), received[:200]
    assert received.count(b"HTTP/1.1 ") == 1
    assert request(server, key, "GET", "/healthz")[0] == 200


@pytest.mark.parametrize(
    "line",
    [
        "GET /clients/TOKEN HTTP/9.9",
        "GET / HTTP/1.1\r\nAuthorization : TOKEN\0",
        "GET /clients/TOKEN HTTP/1.1\r\nSCRIPT_NAME: /x",
    ],
)
def test_nothing_of_a_request_is_logged(server: Server, line: str) -> None:
    with connected(server) as client:
        client.sendall(f"{line}\r\nHost: x\r\n\r\n".encode())
        assert client.recv(100).startswith(b"HTTP/1.1 4")
    assert "TOKEN" not in server.log.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "header",
    [
        "SCRIPT_NAME: /verify",
        "X-Forwarded-Prefix: /verify",
        "PATH_INFO: /metrics",
        "X-Original-URL: /metrics",
    ],
)
def test_no_header_moves_an_address(server: Server, header: str) -> None:
    with connected(server) as client:
        head = (
            f"GET /verify/metrics HTTP/1.1\r\nHost: x\r\n{header}\r\nAuthorization: Bearer {METRICS_KEY}\r\n"
        )
        client.sendall(f"{head}Accept: application/json\r\nConnection: close\r\n\r\n".encode())
        answer = b"".join(iter(lambda: client.recv(65536), b""))
    assert answer.startswith((b"HTTP/1.1 404", b"HTTP/1.1 400"))
    assert b"baywright_requests" not in answer


def test_what_goes_wrong_beside_the_service_is_logged_by_its_kind_alone(
    capsys: pytest.CaptureFixture[str],
) -> None:
    log = DiscreetLogger(Config())
    for line in ("Error handling request %s", "Exception in worker process %s"):
        try:
            raise ValueError("SECRET")
        except ValueError:
            log.exception(line, "/clients/TOKEN")
        said = capsys.readouterr().err
        assert ("SECRET" in said, "TOKEN" in said) == (("worker" in line),) * 2, said
        assert "ValueError" in said


def test_a_worker_at_work_leaves_the_other_one_to_answer(server: Server, key: str) -> None:
    """Of two workers one is busy: what the other one is asked is not queued behind it."""
    with ThreadPoolExecutor(1) as pool:
        answer = pool.submit(request, server, key, "POST", "/v1/takeoffs", large_takeoff())
        asked = 0
        while not answer.done():
            assert request(server, key, "GET", "/healthz")[0] == 200
            asked += 1
    assert answer.result()[0] == 200
    assert asked >= 5


def test_requests_that_come_together_are_all_answered(server: Server, key: str) -> None:
    with ThreadPoolExecutor(16) as pool:
        answers = list(
            pool.map(lambda _: request(server, key, "POST", "/v1/quotes", small_building())[0], range(32))
        )
    assert answers == [201] * 32


def large_building() -> Any:
    """A building that is a second of work and more."""
    cavities = [
        {**cavity, "label": f"{n}-{cavity['label']}"} for n in range(100) for cavity in building()["cavities"]
    ]
    return {**building(), "cavities": cavities}


def large_takeoff() -> Any:
    return {name: value for name, value in large_building().items() if name not in ("reference", "client")}


def test_a_stop_finishes_what_was_begun_takes_nothing_new_and_leaves_nothing(
    url: str, key: str, tmp_path: Path
) -> None:
    with running(url, tmp_path, workers=1) as server, ThreadPoolExecutor(1) as pool:
        answer = pool.submit(request, server, key, "POST", "/v1/quotes", large_building())
        time.sleep(0.7)
        assert not answer.done()
        server.process.send_signal(signal.SIGTERM)
        status, content = answer.result(timeout=60)
        assert status == 201
        assert len(json.loads(content)["takeoff"]["cavities"]) == len(large_building()["cavities"])
        assert server.process.wait(timeout=60) == 0
        assert folders(tmp_path) == set()
        with pytest.raises(OSError, match="refused"):
            request(server, key, "GET", "/healthz")
