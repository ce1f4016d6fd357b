"""What keeps a signing key from being one: its file, its kind, its certificate.

The kinds are an allow-list: those that every validator of PDF signatures takes (ISO 32000-2,
12.8.3, and ETSI TS 119 312 for their sizes; both from memory).
"""

from datetime import datetime
from typing import Any

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import pkcs12

LEAST_RSA_BITS = 2048
CURVES = (ec.SECP256R1, ec.SECP384R1, ec.SECP521R1)
ALLOWED = f"RSA of at least {LEAST_RSA_BITS} bits, or ECDSA on P-256, P-384 or P-521"
WEAK = (hashes.MD5, hashes.SHA1)


def opened(content: bytes, password: str) -> pkcs12.PKCS12KeyAndCertificates | str:
    """What is in a PKCS#12 file (RFC 7292), or what is wrong with it, in words that follow its name."""
    try:
        bundle = pkcs12.load_pkcs12(content, password.encode())
    except ValueError:
        return "is no PKCS#12 file that the signing password opens"
    except UnsupportedAlgorithm:
        return "is encrypted by a method that is no longer supported, or holds a key of no kind that is known"
    if bundle.key is None or bundle.cert is None:
        return "lacks a private key with its certificate"
    return _kind_fault(bundle.key) or bundle


def _kind_fault(key: Any) -> str | None:
    if isinstance(key, rsa.RSAPrivateKey):
        kind, allowed = f"RSA of {key.key_size} bits", key.key_size >= LEAST_RSA_BITS
    elif isinstance(key, ec.EllipticCurvePrivateKey):
        kind, allowed = f"ECDSA on {key.curve.name}", isinstance(key.curve, CURVES)
    else:
        kind, allowed = type(key).__name__.removesuffix("PrivateKey"), False
    return None if allowed else f"is {kind}, which many validators refuse: it must be {ALLOWED}"


def certificate_fault(certificate: x509.Certificate, now: datetime) -> str | None:
    """What is wrong with the certificate of a key at `now`, in words that follow the key's name."""
    if now < certificate.not_valid_before_utc:
        return f"has a certificate that holds only from {_day(certificate.not_valid_before_utc)} on"
    if now > certificate.not_valid_after_utc:
        return f"has a certificate that expired on {_day(certificate.not_valid_after_utc)}"
    if isinstance(certificate.signature_hash_algorithm, WEAK):
        return f"has a certificate that rests on {certificate.signature_hash_algorithm.name}, which is broken"
    return None if _may_sign(certificate) else "has a certificate that is not for signing documents"


def _may_sign(certificate: x509.Certificate) -> bool:
    """Whether its key usage (RFC 5280, 4.2.1.3), where it has one, is that of documents."""
    try:
        usage = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    except x509.ExtensionNotFound:
        return True
    return usage.digital_signature or usage.content_commitment


def _day(moment: datetime) -> str:
    return moment.date().isoformat()
