"""Calling a receiver: only where it may lie, only so long, only so much, and never elsewhere."""

import socket
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from service.errors import NotDelivered
from service.usecases.firm import receivers
from service.usecases.firm.receivers import call, must_be_callable
from tests.receiver import HERE, NAME, Answer, drips, hangs, receiving, status, talks, trusted

CONTENT = b'{"type":"quote.offered"}'


@pytest.fixture(autouse=True)
def _trusting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", trusted(tmp_path))


@pytest.fixture
def soon(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten seconds would be a long test."""
    monkeypatch.setattr(receivers, "IN_ALL_S", 0.4)


def refused(act: Callable[[], object]) -> str:
    with pytest.raises(NotDelivered) as error:
        act()
    code: str = error.value.detail.code  # type: ignore[union-attr]
    return code.removeprefix("deliveries.")


@pytest.mark.parametrize("code", [200, 202, 204])
def test_what_is_taken_was_sent_once_and_whole(tmp_path: Path, code: int) -> None:
    with receiving(tmp_path, status(code)) as receiver:
        call(receiver.url, CONTENT, {"webhook-id": "1"}, allowed=HERE)
    (received,) = receiver.received
    assert received.line == "POST /events?from=us HTTP/1.1"
    assert received.body == CONTENT
    assert received.headers["host"] == f"localhost:{receiver.port}"
    assert received.headers["webhook-id"] == "1"


@pytest.mark.parametrize(
    ("code", "said"), [(400, "refused"), (410, "refused"), (500, "refused"), (100, "refused")]
)
def test_any_other_status_is_no_delivery(tmp_path: Path, code: int, said: str) -> None:
    with receiving(tmp_path, status(code)) as receiver:
        assert refused(lambda: call(receiver.url, CONTENT, {}, allowed=HERE)) == "refused"


@pytest.mark.parametrize("code", [301, 302, 303, 307, 308])
def test_a_redirect_is_not_followed(tmp_path: Path, code: int) -> None:
    with receiving(tmp_path) as other:
        with receiving(tmp_path, status(code, f"Location: {other.url}")) as receiver:
            assert refused(lambda: call(receiver.url, CONTENT, {}, allowed=HERE)) == "redirected"
        assert (len(receiver.received), other.received) == (1, [])


@pytest.mark.usefixtures("soon")
@pytest.mark.parametrize("behaviour", [hangs, drips])
def test_who_hangs_or_drips_is_left_after_so_long_in_all(tmp_path: Path, behaviour: Answer) -> None:
    with receiving(tmp_path, behaviour) as receiver:
        began = time.monotonic()
        assert refused(lambda: call(receiver.url, CONTENT, {}, allowed=HERE)) == "too_slow"
        assert time.monotonic() - began < 5


@pytest.mark.usefixtures("soon")
def test_who_never_shakes_hands_is_left(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as silent:
        url = f"https://localhost:{silent.getsockname()[1]}/"
        assert refused(lambda: call(url, CONTENT, {}, allowed=HERE)) == "too_slow"


def test_no_more_than_4_kb_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[int] = []
    original = receivers.ssl.SSLSocket.recv

    def counting(self: Any, size: int = 1024, flags: int = 0) -> bytes:
        part = original(self, size, flags)
        read.append(len(part))
        return part

    monkeypatch.setattr(receivers.ssl.SSLSocket, "recv", counting)
    with receiving(tmp_path, talks) as receiver:
        assert refused(lambda: call(receiver.url, CONTENT, {}, allowed=HERE)) == "not_reached"
    assert sum(read) == 4096


def test_a_certificate_must_be_trusted_and_of_that_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with receiving(tmp_path) as receiver:
        elsewhere = receiver.url.replace("localhost", "127.0.0.2")
        assert refused(lambda: call(elsewhere, CONTENT, {}, allowed=HERE)) in ("not_reached", "not_trusted")
        resolves(monkeypatch, {"other.example": ["127.0.0.1"]})
        wrong = receiver.url.replace("localhost", "other.example")
        assert refused(lambda: call(wrong, CONTENT, {}, allowed=HERE)) == "not_trusted"
        monkeypatch.delenv("SSL_CERT_FILE")
        resolves(monkeypatch, {NAME: ["127.0.0.1"]})
        stranger = receiver.url.replace("localhost", NAME)
        assert refused(lambda: call(stranger, CONTENT, {}, allowed=HERE)) == "not_trusted"
    assert receiver.received == []


def test_where_nobody_listens_nothing_is_delivered() -> None:
    with socket.create_server(("127.0.0.1", 0)) as gone:
        port = gone.getsockname()[1]
    assert refused(lambda: call(f"https://localhost:{port}/", CONTENT, {}, allowed=HERE)) == "not_reached"


# Of IANA's registries of special-purpose addresses (RFC 6890 and its updates) and the clouds' metadata.
NOT_PUBLIC = [
    "0.0.0.0",
    "10.0.0.1",
    "100.64.0.1",
    "127.0.0.1",
    "169.254.169.254",
    "172.16.0.1",
    "192.0.0.1",
    "192.0.2.1",
    "192.168.1.1",
    "198.18.0.1",
    "203.0.113.7",
    "224.0.0.1",
    "240.0.0.1",
    "255.255.255.255",
    "::",
    "::1",
    "::ffff:127.0.0.1",
    "::ffff:169.254.169.254",
    "::10.0.0.1",
    "64:ff9b::a9fe:a9fe",
    "64:ff9b:1::1",
    "100::1",
    "2001::1",
    "2001:db8::1",
    "2002:7f00:1::1",
    "fc00::1",
    "fd00:ec2::254",
    "fe80::1",
    "fec0::1",
    "ff02::1",
]


def bracketed(address: str) -> str:
    return f"https://[{address}]/" if ":" in address else f"https://{address}/"


@pytest.mark.parametrize("address", NOT_PUBLIC)
def test_an_address_that_is_not_everybodys_is_neither_taken_nor_called(
    address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert refused(lambda: must_be_callable(bracketed(address), "")) == "not_public"
    resolves(monkeypatch, {NAME: ["8.8.8.8", address]})
    forbid_connections(monkeypatch)
    assert refused(lambda: call(f"https://{NAME}/", CONTENT, {}, allowed="")) == "not_public"
    assert refused(lambda: call(bracketed(address), CONTENT, {}, allowed="10.255.0.0/16")) == "not_public"


@pytest.mark.parametrize("address", ["8.8.8.8", "2606:4700::1111", "64:ff9b::808:808"])
def test_a_public_address_may_be_called(address: str) -> None:
    must_be_callable(bracketed(address), "")


@pytest.mark.parametrize("host", ["2130706433", "0x7f000001", "0177.0.0.1", "127.1", "localhost"])
def test_however_an_address_is_written_what_it_leads_to_counts(
    host: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    forbid_connections(monkeypatch)
    assert refused(lambda: call(f"https://{host}/", CONTENT, {}, allowed="")) in ("not_public", "not_found")


def test_the_operator_may_allow_networks(monkeypatch: pytest.MonkeyPatch) -> None:
    must_be_callable("https://10.1.2.3/", "192.168.0.0/16 10.1.0.0/16")
    must_be_callable("https://[::ffff:10.1.2.3]/", "10.1.0.0/16")
    must_be_callable("https://[fd12::1]/", "fd12::/16")
    assert refused(lambda: must_be_callable("https://10.2.0.1/", "10.1.0.0/16")) == "not_public"


def test_a_name_is_resolved_once_and_what_was_looked_at_is_connected_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A name that leads to a public address while it is looked at and to another when it is called."""
    with receiving(tmp_path) as receiver:
        asked = resolves(monkeypatch, {NAME: ["127.0.0.1"]})
        call(receiver.url.replace("localhost", NAME), CONTENT, {}, allowed=HERE)
    assert asked == [NAME]
    assert len(receiver.received) == 1


def test_a_name_that_is_none_has_no_address(monkeypatch: pytest.MonkeyPatch) -> None:
    def unknown(*_: Any, **__: Any) -> None:
        raise socket.gaierror

    monkeypatch.setattr(socket, "getaddrinfo", unknown)
    assert refused(lambda: call(f"https://{NAME}/", CONTENT, {}, allowed="")) == "not_found"


def resolves(monkeypatch: pytest.MonkeyPatch, known: dict[str, list[str]]) -> list[str]:
    """Let names lead to addresses; returns which were asked for."""
    asked: list[str] = []

    def found(host: str, port: int, *_: Any, **__: Any) -> list[Any]:
        asked.append(host)
        return [
            (socket.AF_INET6 if ":" in each else socket.AF_INET, socket.SOCK_STREAM, 6, "", (each, port))
            for each in known.get(host, [host])
        ]

    monkeypatch.setattr(socket, "getaddrinfo", found)
    return asked


def forbid_connections(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: Any, **__: Any) -> None:
        raise AssertionError("a connection was opened")

    monkeypatch.setattr(receivers, "_asked", never)
