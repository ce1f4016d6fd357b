"""A real server: slow clients hold nobody up, and a stop finishes what was begun."""

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from email import message_from_bytes
from http.client import HTTPConnection, HTTPResponse
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from gunicorn.http.errors import InvalidResponseHeader

from service.api.requests import HEADERS
from service.serve.worker import CLIENTS, Worker
from service.store.migrate import upgrade
from service.store.session import open_database
from service.usecases.firm import keys
from tests.api import NOW, building, load_firms, small_building

# Shorter than the server's own, so that the tests need not wait for those.
IMPATIENT = """
import sys
from service import worker
worker.LONGEST_WAIT_S = 3.0
from service.cli.main import main
sys.exit(main(["serve", "--port", sys.argv[1], "--workers", "1"]))
"""
QUICK_S = 2.5


class Server:
    """A server process with one worker, on a database of its own."""

    def __init__(self, process: subprocess.Popen[bytes], port: int, key: str, log: Path) -> None:
        self.process, self.port, self.key, self.log = process, port, key, log

    def connect(self) -> socket.socket:
        return socket.create_connection(("127.0.0.1", self.port), timeout=10)

    def request(self, method: str, path: str, body: Any = None, **headers: str) -> tuple[int, bytes]:
        connection = HTTPConnection("127.0.0.1", self.port, timeout=60)
        sent = {"Authorization": f"Bearer {self.key}", "Content-Type": "application/json", **headers}
        content = body if body is None or isinstance(body, bytes) else json.dumps(body)
        connection.request(method, path, content, sent)
        answer: HTTPResponse = connection.getresponse()
        content = answer.read()
        connection.close()
        return answer.status, content

    def head(self, method: str, path: str, length: int) -> bytes:
        """The head of a request whose body is still to come."""
        return (
            f"{method} {path} HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {self.key}\r\n"
            f"Content-Type: application/json\r\nContent-Length: {length}\r\n\r\n"
        ).encode()


@contextmanager
def serving(folder: Path) -> Iterator[Server]:
    """A server, ended when the block ends."""
    url = f"sqlite:///{folder}/database.sqlite3"
    upgrade(url)
    load_firms(url)
    database = open_database(url)
    key = keys.add(database, firm_code="demo", roles=["office"], label="trial", now=NOW)
    database.dispose()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    environment = {**os.environ, "BAYWRIGHT_DATABASE_URL": url, "TMPDIR": str(folder)}
    command, log = [sys.executable, "-c", IMPATIENT, str(port)], folder / "server.log"
    with log.open("wb") as said, subprocess.Popen(command, env=environment, stderr=said) as process:
        server = Server(process, port, key, log)
        try:
            _await(server)
            yield server
        finally:
            process.terminate()


def _await(server: Server) -> None:
    for _ in range(200):
        try:
            if server.request("GET", "/readyz")[0] == 200:
                return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError("the server did not start")


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with serving(tmp_path_factory.mktemp("server")) as server:
        yield server


def seconds(act: Callable[[], Any]) -> float:
    began = time.perf_counter()
    act()
    return time.perf_counter() - began


def test_clients_that_send_their_heads_slowly_hold_nobody_up(server: Server) -> None:
    with ExitStack() as stack:
        for _ in range(CLIENTS - 1):
            stack.enter_context(server.connect()).sendall(b"GET /healthz HTTP/1.1\r\nHo")
        assert seconds(lambda: server.request("GET", "/healthz")) < QUICK_S


def test_clients_that_say_nothing_hold_nobody_up(server: Server) -> None:
    with ExitStack() as stack:
        for _ in range(20):
            stack.enter_context(server.connect())
        assert seconds(lambda: server.request("GET", "/healthz")) < QUICK_S


def test_clients_that_send_their_bodies_slowly_hold_nobody_up(server: Server) -> None:
    with ExitStack() as stack:
        for _ in range(20):
            slow = stack.enter_context(server.connect())
            slow.sendall(server.head("POST", "/v1/takeoffs", 1000) + b'{"practice"')
        assert seconds(lambda: server.request("GET", "/v1/quotes")) < QUICK_S


def test_clients_that_do_not_fetch_their_answers_hold_nobody_up(server: Server) -> None:
    with ExitStack() as stack:
        for _ in range(5):
            slow = stack.enter_context(socket.socket())
            slow.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
            slow.connect(("127.0.0.1", server.port))
            # More than a megabyte: it does not fit between the two ends.
            slow.sendall(b"GET /docs/swagger-ui-bundle.js HTTP/1.1\r\nHost: x\r\n\r\n")
        time.sleep(0.5)
        assert seconds(lambda: server.request("GET", "/v1/quotes")) < QUICK_S


def test_clients_that_do_not_hang_up_hold_nobody_up(server: Server) -> None:
    with ExitStack() as stack:
        for _ in range(10):
            lingering = stack.enter_context(server.connect())
            lingering.sendall(b"GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n")
            assert lingering.recv(100).startswith(b"HTTP/1.1 200")
        assert seconds(lambda: server.request("GET", "/healthz")) < QUICK_S


@pytest.mark.parametrize("sent", [b"GET /healthz HTTP/1.1\r\nHo", b"head"], ids=["head", "body"])
def test_a_client_that_takes_too_long_is_cut_off_however_often_it_sends_a_byte(
    server: Server, sent: bytes
) -> None:
    with server.connect() as slow:
        slow.sendall(server.head("POST", "/v1/takeoffs", 1000) if sent == b"head" else sent)
        began = time.perf_counter()
        slow.settimeout(0.2)
        while time.perf_counter() - began < 10:
            try:
                if slow.recv(1) == b"":
                    break
                slow.sendall(b" ")
            except TimeoutError:
                slow.sendall(b" ")
            except (ConnectionResetError, BrokenPipeError):
                break
        assert 2 < time.perf_counter() - began < 7


def test_a_client_that_says_nothing_is_cut_off(server: Server) -> None:
    with server.connect() as silent:
        silent.settimeout(30)
        assert silent.recv(1) == b""


def test_a_body_cut_short_stores_nothing(server: Server) -> None:
    before = len(json.loads(server.request("GET", "/v1/quotes")[1])["items"])
    content = json.dumps(small_building()).encode()
    with server.connect() as client:
        client.sendall(server.head("POST", "/v1/quotes", len(content) + 1) + content)
    time.sleep(0.5)
    assert len(json.loads(server.request("GET", "/v1/quotes")[1])["items"]) == before


def test_a_body_in_chunks_is_read_and_one_that_is_too_large_refused(server: Server) -> None:
    content = json.dumps(small_building()).encode()
    head = server.head("POST", "/v1/quotes", 0).replace(b"Content-Length: 0", b"Transfer-Encoding: chunked")
    with server.connect() as client:
        chunks = b"".join(b"%x\r\n%s\r\n" % (len(part), part) for part in (content[:100], content[100:]))
        client.sendall(head + chunks + b"0\r\n\r\n")
        assert client.recv(100).startswith(b"HTTP/1.1 201")
    assert server.request("POST", "/v1/quotes", b" " * 5_000_000)[0] == 413


def test_a_client_that_waits_for_leave_to_send_its_body_gets_it(server: Server) -> None:
    content = json.dumps(small_building()).encode()
    head = server.head("POST", "/v1/quotes", len(content))
    with server.connect() as client:
        client.sendall(head.replace(b"\r\n\r\n", b"\r\nExpect: 100-continue\r\n\r\n"))
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
    "a chunk of no size": POST + b"Transfer-Encoding: chunked\r\n\r\nxyz\r\n",
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
def test_what_is_no_request_is_refused_and_nothing_is_read_behind_it(server: Server, what: str) -> None:
    with server.connect() as client:
        client.sendall(WIRE[what])
        received = b""
        while part := client.recv(65_536):
            received += part
    status = REFUSED_WITH.get(what, 400)
    assert received.startswith(b"HTTP/1.1 %d " % status), received[:200]
    assert received.count(b"HTTP/1.1 ") == 1
    answer = message_from_bytes(received.partition(b"\r\n")[2])
    assert answer["Content-Type"] == "application/problem+json"
    assert HEADERS.items() <= dict(answer.items()).items()
    body = json.loads(answer.get_payload())
    assert body["status"] == status
    assert body["instance"] == f"urn:request:{answer['X-Request-Id']}"
    assert server.request("GET", "/healthz")[0] == 200


@pytest.mark.parametrize("line", ["GET /clients/TOKEN HTTP/9.9", "GET / HTTP/1.1\r\nAuthorization : KEY\0"])
def test_what_is_no_request_is_not_logged(server: Server, line: str) -> None:
    with server.connect() as client:
        client.sendall(f"{line}\r\nHost: x\r\n\r\n".encode())
        assert client.recv(100).startswith(b"HTTP/1.1 400")
    logged = server.log.read_text(encoding="utf-8")
    assert "TOKEN" not in logged
    assert "KEY" not in logged
    assert "no request" in logged


@pytest.mark.parametrize("error", [RuntimeError("inside"), InvalidResponseHeader("inside")])
def test_what_goes_wrong_outside_of_the_service_says_nothing_of_itself(error: Exception) -> None:
    ours, its = socket.socketpair()
    with ours, its:
        Worker.__new__(Worker).handle_error(None, its, None, error)
        answer = ours.recv(65_536)
    assert answer.startswith(b"HTTP/1.1 500 ")
    assert b"inside" not in answer


def test_a_client_that_is_gone_is_refused_in_silence() -> None:
    ours, its = socket.socketpair()
    with its:
        ours.close()
        Worker.__new__(Worker).handle_error(None, its, None, RuntimeError())


def test_a_file_that_is_made_for_an_answer_is_sent_as_it_is(server: Server) -> None:
    quote = json.loads(server.request("POST", "/v1/quotes", small_building())[1])["id"]
    server.request("POST", f"/v1/quotes/{quote}/offer")
    job = json.loads(server.request("POST", f"/v1/quotes/{quote}/acceptance")[1])["job_id"]
    status, content = server.request("GET", f"/v1/jobs/{job}/archive")
    assert status == 200
    assert ZipFile(BytesIO(content)).testzip() is None


def test_requests_that_come_together_are_all_answered(server: Server) -> None:
    with ThreadPoolExecutor(16) as pool:
        answers = list(
            pool.map(lambda _: server.request("POST", "/v1/quotes", small_building())[0], range(32))
        )
    assert answers == [201] * 32


def test_a_stop_finishes_what_was_begun_and_takes_nothing_new(tmp_path: Path) -> None:
    cavities = [
        {**cavity, "label": f"{n}-{cavity['label']}"} for n in range(20) for cavity in building()["cavities"]
    ]
    large = {**building(), "cavities": cavities}
    with serving(tmp_path) as server, ThreadPoolExecutor(1) as pool:
        answer = pool.submit(server.request, "POST", "/v1/quotes", large)
        time.sleep(0.7)
        assert not answer.done()
        server.process.send_signal(signal.SIGTERM)
        status, content = answer.result(timeout=60)
        assert status == 201
        assert len(json.loads(content)["cavities"]) == len(cavities)
        assert server.process.wait(timeout=30) == 0
        with pytest.raises(OSError, match="refused"):
            server.request("GET", "/healthz")
