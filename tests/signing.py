"""Signing keys and their certificates, made for the tests."""

from datetime import UTC, datetime, timedelta
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, ed448, ed25519
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, pkcs12
from cryptography.x509.oid import NameOID

NOW = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)
DAY = timedelta(days=1)
PASSWORD = "for the tests only"
USAGES = ("digital_signature", "content_commitment", "key_encipherment", "data_encipherment", "key_agreement")
USAGES += ("key_cert_sign", "crl_sign", "encipher_only", "decipher_only")


def name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def certificate(
    key: Any,
    *,
    since: datetime = NOW - DAY,
    until: datetime = NOW + DAY,
    usage: str | None = "content_commitment",
    issuer: str = "Specimen firm",
    by: Any = None,
    digest: Any = hashes.SHA256(),  # noqa: B008 - it has no state
) -> x509.Certificate:
    """A certificate of `key`, by itself unless it is `by` another key."""
    made = (
        x509.CertificateBuilder()
        .subject_name(name("Specimen firm"))
        .issuer_name(name(issuer))
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(since)
        .not_valid_after(until)
    )
    if usage:
        uses = x509.KeyUsage(**{each: each == usage for each in USAGES})
        made = made.add_extension(uses, critical=True)
    signs = by or key
    named = isinstance(signs, ed25519.Ed25519PrivateKey | ed448.Ed448PrivateKey)
    return made.sign(signs, None if named else digest)


def packed(key: Any, of_key: x509.Certificate | None, *above: x509.Certificate) -> bytes:
    """A PKCS#12 file."""
    return pkcs12.serialize_key_and_certificates(
        b"specimen", key, of_key, above, BestAvailableEncryption(PASSWORD.encode())
    )


def new() -> ec.EllipticCurvePrivateKey:
    return ec.generate_private_key(ec.SECP256R1())
