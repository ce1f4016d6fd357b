"""How often anybody may ask, and how many keys may be guessed."""

import shutil
import signal
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from functools import partial
from http.client import HTTPConnection
from pathlib import Path
from uuid import uuid4

import pytest
from flask import Flask
from redis import Redis
from redis.exceptions import ConnectionError as NotReached

from service.api import counting, limits
from service.app import create_app
from service.settings import Settings
from tests.api import Api, problem
from tests.faults.server import Server

MOST, MOST_PUBLIC = 5, 3


@pytest.fixture(scope="module")
def database_url(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("limits") / "database.sqlite3"
    shutil.copyfile(sqlite_template, path)
    return f"sqlite:///{path}"


@pytest.fixture(autouse=True)
def _one_minute(monkeypatch: pytest.MonkeyPatch) -> None:
    """The service counts in one minute: that the next one begins while a test asks decides nothing."""
    monkeypatch.setattr(counting, "InMemory", partial(counting.InMemory, clock=lambda: 1030.0))


@pytest.fixture
def app(settings: Settings) -> Iterator[Flask]:
    """The service with low limits, and nothing counted yet."""
    app = create_app(replace(settings, rate_per_minute=MOST, public_rate_per_minute=MOST_PUBLIC, proxies=1))
    yield app
    app.extensions["database"].dispose()


def wrong_key() -> str:
    return f"bw_{uuid4().hex[:8]}_{'x' * 43}"


def test_a_key_may_ask_so_often_and_then_has_to_wait(api: Api) -> None:
    for path in ("/v1/quotes", "/v1/jobs", "/v1/lances", "/v1/practice", "/v1/materials"):
        assert api.send("GET", path).status_code == 200
    answer = api.send("GET", "/v1/quotes")
    problem(answer, 429)
    assert 1 <= int(answer.headers["Retry-After"]) <= 60


def test_one_key_does_not_use_up_another(api: Api) -> None:
    for _ in range(MOST + 1):
        api.send("GET", "/v1/quotes", role="office")
    assert api.send("GET", "/v1/quotes", role="office").status_code == 429
    assert api.send("GET", "/v1/quotes", role="sales").status_code == 200


def test_one_key_is_one_however_its_header_is_spaced(api: Api) -> None:
    key = api.key("office")
    spaced = [f"Bearer {' ' * n}{key}{' ' * n}" for n in range(MOST)] + [f"bearer {key}"]
    statuses = [api.client.get("/v1/quotes", headers={"Authorization": sent}).status_code for sent in spaced]
    assert statuses == [200] * MOST + [429]


@pytest.mark.parametrize("path", ["/nowhere/{n}", "/v1/nowhere/{n}", "/%00{n}", "/verify/%e2%80%ae{n}"])
def test_addresses_at_which_there_is_nothing_are_limited_too(api: Api, path: str) -> None:
    statuses = [api.client.get(path.format(n=n)).status_code for n in range(MOST_PUBLIC + 1)]
    assert statuses == [404] * MOST_PUBLIC + [429]
    assert api.send("GET", "/v1/quotes").status_code == 200


def test_methods_that_there_are_not_are_limited_too(api: Api) -> None:
    statuses = [api.client.open("/v1/quotes", method=f"BREW{n}").status_code for n in range(MOST_PUBLIC + 1)]
    assert statuses == [405] * MOST_PUBLIC + [429]


def test_public_pages_are_counted_by_address_whatever_key_is_sent(api: Api) -> None:
    def ask(sender: str) -> int:
        headers = {"X-Forwarded-For": sender, "Authorization": f"Bearer {wrong_key()}"}
        return api.client.get("/verify/X-2026-00001", headers=headers).status_code

    assert [ask("192.0.2.1") for _ in range(MOST_PUBLIC + 1)] == [404] * MOST_PUBLIC + [429]
    assert ask("192.0.2.2") == 404


def test_addresses_of_one_ipv6_subscriber_are_one(app: Flask) -> None:
    def counted_as(sender: str) -> str:
        with app.test_request_context(environ_base={"REMOTE_ADDR": sender}):
            return limits.address()

    assert counted_as("2001:db8:1:2::1") == counted_as("2001:db8:1:2:ffff::1")
    assert counted_as("2001:db8:1:2::1") != counted_as("2001:db8:1:3::1")
    assert counted_as("192.0.2.1") != counted_as("192.0.2.2")


def test_guessing_keys_is_slowed_down_even_for_one_that_is_right(api: Api) -> None:
    right = api.key("office")
    guesses = [api.send("GET", "/v1/quotes", Authorization=f"Bearer {wrong_key()}") for _ in range(40)]
    statuses = [answer.status_code for answer in guesses]
    most = limits.WRONG_KEYS_PER_MINUTE
    assert statuses == [401] * most + [429] * (40 - most)
    assert api.send("GET", "/v1/quotes", Authorization=f"Bearer {right}").status_code == 429


def test_a_wrong_key_sent_again_and_again_locks_nobody_else_out(settings: Settings) -> None:
    # Far from the limit of a key: what is counted here is guesses.
    api = Api(create_app(replace(settings, rate_per_minute=1000)))
    old = wrong_key()
    statuses = {
        api.send("GET", "/v1/quotes", Authorization=f"Bearer {old}").status_code
        for _ in range(limits.WRONG_KEYS_PER_MINUTE + 10)
    }
    assert statuses == {401}
    assert api.send("GET", "/v1/quotes").status_code == 200
    api.app.extensions["database"].dispose()


def test_health_is_not_counted(api: Api) -> None:
    for path in ("/healthz", "/readyz"):
        assert {api.client.get(path).status_code for _ in range(MOST_PUBLIC * 2)} == {200}


def test_a_sender_cannot_choose_his_address_when_there_is_no_proxy(settings: Settings) -> None:
    app = create_app(replace(settings, public_rate_per_minute=1))
    client = app.test_client()
    statuses = [
        client.get("/verify/X", headers={"X-Forwarded-For": f"192.0.2.{n}"}).status_code for n in range(2)
    ]
    app.extensions["database"].dispose()
    assert statuses == [404, 429]


class Store:
    """A Redis server of the tests' own, which keeps nothing."""

    def __init__(self) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]

    @property
    def client(self) -> Redis:
        return Redis(port=self.port)

    def start(self) -> None:
        """Start, and wait until it answers."""
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        options = ["--port", str(self.port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"]
        self.process = subprocess.Popen(["redis-server", *options], **quiet)
        deadline = time.monotonic() + 30
        while True:
            try:
                self.client.ping()
            except NotReached:
                assert time.monotonic() < deadline
                time.sleep(0.05)
            else:
                return

    def kill(self) -> None:
        """End it, also when it is held still."""
        self.process.kill()
        self.process.wait()


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    if shutil.which("redis-server") is None:
        raise RuntimeError("These tests need Redis (on Debian: apt-get install redis-server).")
    store = Store()
    store.start()
    yield store
    store.kill()


@pytest.fixture(scope="module")
def servers(
    settings: Settings, store: Store, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Server, Server]]:
    """Two servers that count in one Redis; each test asks them from an address of its own."""
    limited = {
        "BAYWRIGHT_RATE_STORAGE": f"redis://127.0.0.1:{store.port}",
        "BAYWRIGHT_PUBLIC_RATE_PER_MINUTE": str(MOST_PUBLIC),
        "BAYWRIGHT_PROXIES": "1",
    }
    folder = tmp_path_factory.mktemp("servers")
    with ExitStack() as stack:
        pair = (
            Server(settings.database_url, folder, workers=1, **limited),
            Server(settings.database_url, folder, workers=1, **limited),
        )
        for server in pair:
            server.start()
            stack.callback(server.kill)
        yield pair


def asked(server: Server, sender: str) -> int:
    """The status of a public page's answer to somebody at this address."""
    connection = HTTPConnection("127.0.0.1", server.port, timeout=30)
    connection.request("GET", "/verify/X", headers={"X-Forwarded-For": sender})
    status = connection.getresponse().status
    connection.close()
    return status


def reached(servers: tuple[Server, Server], store: Store) -> None:
    """Wait until both count in Redis, which was away, again."""
    deadline = time.monotonic() + 60
    for server in servers:
        store.client.flushall()
        while not store.client.dbsize():
            assert time.monotonic() < deadline
            asked(server, "192.0.2.9")
            time.sleep(0.2)


def test_several_servers_count_together_in_redis(servers: tuple[Server, Server]) -> None:
    one, other = servers
    assert [asked(server, "192.0.2.1") for server in (one, other, one)] == [404] * MOST_PUBLIC
    assert [asked(server, "192.0.2.1") for server in (other, one)] == [429, 429]


@pytest.mark.parametrize(("how", "sender"), [("killed", "192.0.2.2"), ("held still", "192.0.2.3")])
def test_without_redis_each_process_counts_for_itself_until_it_is_back(
    servers: tuple[Server, Server], store: Store, how: str, sender: str
) -> None:
    assert [asked(server, sender) for server in servers] == [404, 404]
    store.process.send_signal(signal.SIGKILL if how == "killed" else signal.SIGSTOP)
    for server in servers:
        assert [asked(server, sender) for _ in range(MOST_PUBLIC + 1)] == [404] * MOST_PUBLIC + [429]
    store.kill()
    store.start()
    reached(servers, store)


def test_a_redis_that_is_not_there_from_the_start_keeps_nobody_from_asking(settings: Settings) -> None:
    # Nothing listens on port 9 of this machine.
    app = create_app(replace(settings, rate_storage="redis://127.0.0.1:9", public_rate_per_minute=2))
    client = app.test_client()
    statuses = [client.get("/verify/X").status_code for _ in range(3)]
    app.extensions["database"].dispose()
    assert statuses == [404, 404, 429]
