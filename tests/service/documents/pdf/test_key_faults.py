"""Kinds of keys that sign for every validator, and those that do not."""

from collections.abc import Callable
from typing import Any

import pytest
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import dsa, ec, ed448, ed25519, rsa

from service.documents.pdf import key_faults
from service.engine.ground.messages import Message
from tests.said import said
from tests.signing import NOW, PASSWORD, certificate, new, packed

REFUSED: dict[str, tuple[Callable[[], Any], str]] = {
    "Ed25519": (ed25519.Ed25519PrivateKey.generate, "is Ed25519, which many validators refuse"),
    "Ed448": (ed448.Ed448PrivateKey.generate, "is Ed448, which many validators refuse"),
    "secp256k1": (lambda: ec.generate_private_key(ec.SECP256K1()), "is ECDSA secp256k1, which"),
    "RSA-1024": (lambda: rsa.generate_private_key(65537, 1024), "is RSA 1024, which"),
    "DSA": (lambda: dsa.generate_private_key(2048), "is DSA, which many validators refuse"),
}


@pytest.mark.parametrize("kind", REFUSED)
def test_keys_of_any_other_kind_are_refused_with_a_sentence(kind: str) -> None:
    make, sentence = REFUSED[kind]
    key = make()
    fault = key_faults.opened(packed(key, certificate(key)), PASSWORD)
    assert isinstance(fault, Message)
    assert sentence in said(fault)
    assert said(fault).endswith(": it must be RSA of at least 2 048 bits, or ECDSA on P-256, P-384 or P-521")


def test_a_certificate_must_not_rest_on_a_broken_digest(monkeypatch: pytest.MonkeyPatch) -> None:
    key = new()
    monkeypatch.setattr(key_faults, "WEAK", (hashes.SHA384,))
    fault = key_faults.certificate_fault(certificate(key, digest=hashes.SHA384()), NOW)
    assert said(fault) == "has a certificate that rests on sha384, which is broken"
