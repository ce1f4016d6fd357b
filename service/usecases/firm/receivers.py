"""Calling a receiver of events: one POST over https, to the very address that was looked at.

Whoever subscribes chooses where the service sends something, so a receiver could lie where only the
service gets to: on this machine, in its network, at an address by which clouds hand out keys. A name
is resolved once, each address that it has must be public, and one of these is connected to. No
redirect is followed and no proxy asked; of an answer its first line is read, within 4 kB and 10 s.
"""

import re
import socket
import ssl
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, IPv6Network, ip_address, ip_network
from typing import Any
from urllib.parse import urlsplit

from service.engine.ground.messages import Quantity, message
from service.errors import NotDelivered

IN_ALL_S = 10
MOST_READ_BYTES = 4096
HTTPS = 443
# RFC 4291, 2.4, as far as it was given out: every other address of IPv6 is somebody's own, or no unicast.
GLOBAL_UNICAST = IPv6Network("2000::/3")
# RFC 6052, 2.1: an address by which a NAT64 leads to the IPv4 address inside of it.
NAT64 = IPv6Network("64:ff9b::/96")
# RFC 9112, 4.
STATUS = re.compile(rb"HTTP/1\.[01] ([0-9]{3})[ \r]")

Address = IPv4Address | IPv6Address


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """An address that was looked at, and the name that its certificate must have."""

    family: int
    socket_address: tuple[Any, ...]
    host: str


def must_be_callable(url: str, allowed: str) -> None:
    """Refuse a receiver whose address stands in its URL and may not be called; a name is looked at later."""
    host = urlsplit(url).hostname or ""
    try:
        address = ip_address(host)
    except ValueError:
        return
    _must_be_public(address, host, allowed)


def call(url: str, content: bytes, headers: Mapping[str, str], *, allowed: str) -> None:
    """Deliver `content`; raises NotDelivered unless the receiver answers with 2xx in time.

    `allowed` are networks, apart by blanks, that may be called besides public addresses.
    """
    parts = urlsplit(url)
    place = _place(parts.hostname or "", parts.port or HTTPS, allowed)
    target = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    head = {"Host": parts.netloc, "Content-Length": str(len(content)), "Connection": "close", **headers}
    lines = [f"POST {target} HTTP/1.1", *(f"{name}: {value}" for name, value in head.items()), "", ""]
    try:
        status = _asked(place, "\r\n".join(lines).encode("ascii") + content)
    except ssl.SSLCertVerificationError:
        raise NotDelivered(message("deliveries.not_trusted", host=place.host)) from None
    except TimeoutError:
        raise NotDelivered(message("deliveries.too_slow", limit=Quantity(IN_ALL_S, "s"))) from None
    except OSError:
        raise NotDelivered(message("deliveries.not_reached", host=place.host)) from None
    _must_be_taken(status)


def _must_be_taken(status: int) -> None:
    if 300 <= status < 400:
        raise NotDelivered(message("deliveries.redirected", status=str(status)))
    if not 200 <= status < 300:
        raise NotDelivered(message("deliveries.refused", status=str(status)))


def _asked(place: _Place, request: bytes) -> int:
    """The status that a request is answered with; raises OSError, TimeoutError after ten seconds in all."""
    left_s = _until(time.monotonic() + IN_ALL_S)
    trusted = ssl.create_default_context()
    with socket.socket(place.family, socket.SOCK_STREAM) as plain:
        plain.settimeout(left_s())
        plain.connect(place.socket_address)
        plain.settimeout(left_s())
        with trusted.wrap_socket(plain, server_hostname=place.host) as secret:
            secret.settimeout(left_s())
            secret.sendall(request)
            return _status(secret, left_s)


def _until(deadline: float) -> Callable[[], float]:
    def left_s() -> float:
        left = deadline - time.monotonic()
        if left <= 0:
            raise TimeoutError
        return left

    return left_s


def _status(answering: ssl.SSLSocket, left_s: Callable[[], float]) -> int:
    read = b""
    while b"\n" not in read and len(read) < MOST_READ_BYTES:
        answering.settimeout(left_s())
        part = answering.recv(MOST_READ_BYTES - len(read))
        if not part:
            break
        read += part
    found = STATUS.match(read)
    if found is None:
        raise ConnectionError("no answer of HTTP")
    return int(found[1])


def _place(host: str, port: int, allowed: str) -> _Place:
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError):
        raise NotDelivered(message("deliveries.not_found", host=host)) from None
    for *_, socket_address in found:
        # A zone of a link-local address is no part of it.
        _must_be_public(ip_address(str(socket_address[0]).partition("%")[0]), host, allowed)
    family, *_, chosen = found[0]
    return _Place(family=family, socket_address=chosen, host=host)


def _must_be_public(address: Address, host: str, allowed: str) -> None:
    """Refuse an address that is not everybody's, or leads to one, unless the operator allows it."""
    for each in _led_to(address):
        permitted = any(each in ip_network(network) for network in allowed.split())
        if not permitted and not _is_public(each):
            raise NotDelivered(message("deliveries.not_public", host=host))


def _is_public(address: Address) -> bool:
    if isinstance(address, IPv6Address) and address not in GLOBAL_UNICAST:
        return False
    return address.is_global and not address.is_multicast


def _led_to(address: Address) -> tuple[Address, ...]:
    """What is reached by an address: where it holds an IPv4 address, that one, or that one too."""
    if isinstance(address, IPv4Address):
        return (address,)
    if address.ipv4_mapped:
        return (address.ipv4_mapped,)
    if address in NAT64:
        return (IPv4Address(int(address) & 0xFFFFFFFF),)
    tunnels = (*(address.teredo or ()), *((address.sixtofour,) if address.sixtofour else ()))
    return (address, *tunnels)
