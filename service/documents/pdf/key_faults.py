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

from service.engine.ground.messages import Message, message

LEAST_RSA_BITS = 2048
CURVES = (ec.SECP256R1, ec.SECP384R1, ec.SECP521R1)
WEAK = (hashes.MD5, hashes.SHA1)


def opened(content: bytes, password: str) -> pkcs12.PKCS12KeyAndCertificates | Message:
    """What is in a PKCS#12 file (RFC 7292), or what is wrong with it: what is said of its name."""
    try:
        bundle = pkcs12.load_pkcs12(content, password.encode())
    except ValueError:
        return message("documents.key_not_opened")
    except UnsupportedAlgorithm:
        return message("documents.key_unknown")
    if bundle.key is None or bundle.cert is None:
        return message("documents.key_lacking")
    return _kind_fault(bundle.key) or bundle


def _kind_fault(key: Any) -> Message | None:
    if isinstance(key, rsa.RSAPrivateKey):
        kind, allowed = f"RSA {key.key_size}", key.key_size >= LEAST_RSA_BITS
    elif isinstance(key, ec.EllipticCurvePrivateKey):
        kind, allowed = f"ECDSA {key.curve.name}", isinstance(key.curve, CURVES)
    else:
        kind, allowed = type(key).__name__.removesuffix("PrivateKey"), False
    return None if allowed else message("documents.key_refused", kind=kind, bits=LEAST_RSA_BITS)


def certificate_fault(certificate: x509.Certificate, now: datetime) -> Message | None:
    """What is wrong with the certificate of a key at `now`: what is said of the key's name."""
    if now < certificate.not_valid_before_utc:
        return message("documents.key_not_yet", day=certificate.not_valid_before_utc.date())
    if now > certificate.not_valid_after_utc:
        return message("documents.key_expired", day=certificate.not_valid_after_utc.date())
    if isinstance(certificate.signature_hash_algorithm, WEAK):
        return message("documents.key_weak", digest=certificate.signature_hash_algorithm.name)
    return None if _may_sign(certificate) else message("documents.key_not_for_documents")


def _may_sign(certificate: x509.Certificate) -> bool:
    """Whether its key usage (RFC 5280, 4.2.1.3), where it has one, is that of documents."""
    try:
        usage = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    except x509.ExtensionNotFound:
        return True
    return usage.digital_signature or usage.content_commitment
