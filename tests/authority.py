"""A certification authority that answers over HTTP: revocation (OCSP, CRL) and timestamps (RFC 3161).

Keys are made once for a run of the tests. What it says can be changed: it can be down, refuse, or
have revoked a certificate; its answers on revocation may take long, or have more behind them.
"""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from typing import Any

from asn1crypto import keys, tsp
from asn1crypto import x509 as asn1
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.x509 import ocsp
from cryptography.x509.oid import AuthorityInformationAccessOID, ExtendedKeyUsageOID
from pyhanko.sign.timestamps.dummy_client import DummyTimeStamper

from service.documents.pdf.timestamps import Timestamps
from tests.signing import USAGES, name, packed

FOR_YEARS = timedelta(days=3650)
DAY = timedelta(days=1)


@cache
def _keys() -> tuple[Any, Any, Any, Any]:
    """Of the root, of the authority for timestamps, of the firm, and of who answers for revocation."""
    curve = ec.SECP256R1()
    tsa = rsa.generate_private_key(65537, 2048)
    return ec.generate_private_key(curve), tsa, ec.generate_private_key(curve), ec.generate_private_key(curve)


@dataclass
class Authority:
    """Certificates, and how the authority behaves; `asked` counts what it was asked for, by path."""

    url: str
    status: int = 200
    body: bytes | None = None
    revoked: set[int] = field(default_factory=set)
    says: datetime | None = None
    asked: list[str] = field(default_factory=list)
    behind: bytes = b""
    waits_s: float = 0

    def __post_init__(self) -> None:
        root, tsa, firm, _ = _keys()
        self.now = datetime.now(UTC).replace(microsecond=0)
        self.root = self._issued(root, "Specimen authority", usage=("key_cert_sign", "crl_sign"), ca=True)
        self.tsa = self._issued(tsa, "Specimen timestamps", purpose=ExtendedKeyUsageOID.TIME_STAMPING)
        self.firm = self._issued(firm, "Specimen firm", usage=("content_commitment",))

    def _issued(
        self,
        key: Any,
        subject: str,
        *,
        usage: Any = ("digital_signature",),
        ca: bool = False,
        purpose: Any = None,
    ) -> x509.Certificate:
        root = _keys()[0]
        made = (
            x509.CertificateBuilder()
            .subject_name(name(subject))
            .issuer_name(name("Specimen authority"))
            .public_key(key.public_key())
            .serial_number(x509.random_serial_number())
            .not_valid_before(self.now - DAY)
            .not_valid_after(self.now + FOR_YEARS)
            .add_extension(x509.BasicConstraints(ca=ca, path_length=None), critical=True)
            .add_extension(x509.KeyUsage(**{each: each in usage for each in USAGES}), critical=True)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
            .add_extension(
                x509.AuthorityKeyIdentifier.from_issuer_public_key(root.public_key()), critical=False
            )
        )
        if purpose:
            made = made.add_extension(x509.ExtendedKeyUsage([purpose]), critical=True)
        if not ca:
            made = made.add_extension(self._access(), critical=False)
            made = made.add_extension(self._lists(), critical=False)
        return made.sign(root, hashes.SHA256())

    def _access(self) -> x509.AuthorityInformationAccess:
        place = x509.UniformResourceIdentifier(f"{self.url}/ocsp")
        return x509.AuthorityInformationAccess(
            [x509.AccessDescription(AuthorityInformationAccessOID.OCSP, place)]
        )

    def _lists(self) -> x509.CRLDistributionPoints:
        place = x509.UniformResourceIdentifier(f"{self.url}/crl")
        return x509.CRLDistributionPoints([x509.DistributionPoint([place], None, None, None)])

    @property
    def key_file(self) -> bytes:
        """The firm's key as the authority hands it out, with the certificates above it."""
        return packed(_keys()[2], self.firm, self.root)

    @property
    def root_pem(self) -> bytes:
        return self.root.public_bytes(serialization.Encoding.PEM)

    @property
    def timestamps(self) -> Timestamps:
        """What a firm needs to have its timestamps."""
        root = asn1.Certificate.load(self.root.public_bytes(serialization.Encoding.DER))
        return Timestamps(url=f"{self.url}/tsa", roots=(root,))

    def answer(self, path: str, asked: bytes) -> tuple[str, bytes]:
        self.asked.append(path)
        if self.body is not None:
            return "application/timestamp-reply", self.body
        if path == "/tsa":
            return "application/timestamp-reply", self._stamp(asked)
        time.sleep(self.waits_s)
        if path == "/crl":
            return "application/pkix-crl", self._crl() + self.behind
        return "application/ocsp-response", self._ocsp(ocsp.load_der_ocsp_request(asked)) + self.behind

    def _crl(self) -> bytes:
        now = datetime.now(UTC)
        made = x509.CertificateRevocationListBuilder().issuer_name(self.root.subject)
        made = made.last_update(now - timedelta(minutes=1)).next_update(now + DAY)
        for serial in self.revoked:
            gone = x509.RevokedCertificateBuilder().serial_number(serial).revocation_date(now - DAY)
            made = made.add_revoked_certificate(gone.build())
        return made.sign(_keys()[0], hashes.SHA256()).public_bytes(serialization.Encoding.DER)

    def _ocsp(self, asked: ocsp.OCSPRequest) -> bytes:
        now = datetime.now(UTC)
        whose = next(each for each in (self.firm, self.tsa) if each.serial_number == asked.serial_number)
        gone = asked.serial_number in self.revoked
        made = ocsp.OCSPResponseBuilder().add_response(
            cert=whose,
            issuer=self.root,
            algorithm=asked.hash_algorithm,
            cert_status=ocsp.OCSPCertStatus.REVOKED if gone else ocsp.OCSPCertStatus.GOOD,
            this_update=now - timedelta(minutes=1),
            next_update=now + DAY,
            revocation_time=now - DAY if gone else None,
            revocation_reason=None,
        )
        made = made.responder_id(ocsp.OCSPResponderEncoding.HASH, self.root)
        for each in asked.extensions:
            made = made.add_extension(each.value, critical=False)
        return made.sign(_keys()[0], hashes.SHA256()).public_bytes(serialization.Encoding.DER)

    def _stamp(self, asked: bytes) -> bytes:
        key = _keys()[1].private_bytes(
            serialization.Encoding.DER, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        )
        stamper = DummyTimeStamper(
            asn1.Certificate.load(self.tsa.public_bytes(serialization.Encoding.DER)),
            keys.PrivateKeyInfo.load(key),
            fixed_dt=self.says or datetime.now(UTC),
        )
        return bytes(stamper.request_tsa_response(tsp.TimeStampReq.load(asked)).dump())


@contextmanager
def running() -> Iterator[Authority]:
    """An authority that answers at an address of its own until the block ends."""

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            self._answer(self.rfile.read(int(self.headers["Content-Length"])))

        def do_GET(self) -> None:
            self._answer(b"")

        def _answer(self, asked: bytes) -> None:
            kind, body = authority.answer(self.path, asked)
            self.send_response(authority.status)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: Any) -> None:
            """Nothing is said to the terminal."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    authority = Authority(f"http://127.0.0.1:{server.server_port}")
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield authority
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
