"""A receiver of events over TLS, which takes them, fails, hangs, drips, sends elsewhere or talks without end.

Its certificate is for `localhost` and for NAME, by an authority of the tests' own that only they trust.
"""

import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from ipaddress import ip_address
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from tests.signing import name

NAME = "sales.example"
HERE = "127.0.0.0/8"
"""What the operator has to allow for it."""
DAY = timedelta(days=1)


@dataclass(frozen=True)
class Received:
    """A request as it came."""

    line: str
    headers: dict[str, str]
    body: bytes


Answer = Callable[["Receiver", ssl.SSLSocket], None]


def status(code: int, *lines: str) -> Answer:
    """Answers with a status."""
    text = "\r\n".join([f"HTTP/1.1 {code} said", *lines, "Content-Length: 0", "", ""])
    return lambda _receiver, secret: secret.sendall(text.encode())


def hangs(receiver: "Receiver", _secret: ssl.SSLSocket) -> None:
    """Takes the request and says nothing until the test is over."""
    receiver.over.wait(30)


def drips(receiver: "Receiver", secret: ssl.SSLSocket) -> None:
    """Says a letter now and then, so that no single wait is ever long."""
    while not receiver.over.wait(0.05):
        secret.sendall(b"H")


def talks(receiver: "Receiver", secret: ssl.SSLSocket) -> None:
    """Says more and more, and never what it thinks of the request."""
    while not receiver.over.is_set():
        secret.sendall(b"x" * 1024)
        receiver.said += 1024


@dataclass
class Receiver:
    """What it was sent; each answer is that of the next request, and the last one stays."""

    port: int
    answers: list[Answer]
    received: list[Received] = field(default_factory=list)
    said: int = 0
    over: threading.Event = field(default_factory=threading.Event)

    @property
    def url(self) -> str:
        return f"https://localhost:{self.port}/events?from=us"

    def serve(self, secret: ssl.SSLSocket) -> None:
        with suppress(OSError), secret:
            self.received.append(_request(secret))
            answer = self.answers.pop(0) if len(self.answers) > 1 else self.answers[0]
            answer(self, secret)


def _request(secret: ssl.SSLSocket) -> Received:
    with secret.makefile("rb") as file:
        line = file.readline().decode().strip()
        headers: dict[str, str] = {}
        while text := file.readline().decode().strip():
            key, _, value = text.partition(": ")
            headers[key.lower()] = value
        due = int(headers.get("content-length", 0))
        body = file.read(due)
    if not body or len(body) < due:
        raise ConnectionResetError("whoever sends was ended before he had said it")
    return Received(line, headers, body)


@contextmanager
def receiving(folder: Path, *answers: Answer) -> Iterator[Receiver]:
    """A receiver on this machine; `folder` is for its certificate."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(_files(folder))
    with socket.create_server(("127.0.0.1", 0)) as listening:
        receiver = Receiver(listening.getsockname()[1], list(answers or (status(204),)))
        thread = threading.Thread(target=_accept, args=(listening, context, receiver), daemon=True)
        thread.start()
        try:
            yield receiver
        finally:
            receiver.over.set()
            with suppress(OSError):
                listening.shutdown(socket.SHUT_RDWR)
            thread.join(5)


def _accept(listening: socket.socket, context: ssl.SSLContext, receiver: Receiver) -> None:
    with suppress(OSError):
        while True:
            plain, _ = listening.accept()
            threading.Thread(target=_shake, args=(plain, context, receiver), daemon=True).start()


def _shake(plain: socket.socket, context: ssl.SSLContext, receiver: Receiver) -> None:
    try:
        secret = context.wrap_socket(plain, server_side=True)
    except OSError:
        plain.close()
        return
    receiver.serve(secret)


@cache
def _key() -> ec.EllipticCurvePrivateKey:
    return ec.generate_private_key(ec.SECP256R1())


@cache
def _certificate() -> x509.Certificate:
    """One that vouches for itself: who trusts it trusts the receiver."""
    now = datetime.now(UTC)
    names = [x509.DNSName("localhost"), x509.DNSName(NAME), x509.IPAddress(ip_address("127.0.0.1"))]
    made = (
        x509.CertificateBuilder()
        .subject_name(name("Specimen receiver"))
        .issuer_name(name("Specimen receiver"))
    )
    made = made.public_key(_key().public_key()).serial_number(x509.random_serial_number())
    made = made.not_valid_before(now - DAY).not_valid_after(now + DAY)
    made = made.add_extension(x509.SubjectAlternativeName(names), critical=False)
    return made.sign(_key(), hashes.SHA256())


def _files(folder: Path) -> Path:
    path = folder / "receiver.pem"
    key = _key().private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    path.write_bytes(key + _certificate().public_bytes(serialization.Encoding.PEM))
    return path


def trusted(folder: Path) -> str:
    """The file that OpenSSL reads as those that vouch for others, by SSL_CERT_FILE."""
    path = folder / "trusted.pem"
    path.write_bytes(_certificate().public_bytes(serialization.Encoding.PEM))
    return str(path)
