"""Signing keys as they come: from an authority, worn out, wrong. What a signature is: tests/contract."""

from pathlib import Path
from typing import Any

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec, rsa

from service.documents.pdf import signing
from service.errors import SettingsWrong
from tests.poppler import poppler
from tests.refusals import refused
from tests.signing import DAY, NOW, PASSWORD, certificate, new, packed


def read(content: bytes, password: str = PASSWORD) -> Any:
    return signing.read_key(content, name="demo.p12", password=password, now=NOW)


def test_the_password_must_be_the_right_one() -> None:
    key = new()
    content = packed(key, certificate(key))
    assert read(content).subject_name == "Specimen firm"
    for wrong in ("", "for the tests", PASSWORD.upper()):
        with refused(SettingsWrong, r"^Signing key demo\.p12 .* signing password opens\.$"):
            read(content, wrong)


@pytest.mark.parametrize("content", [b"", b"no key", b"\x30\x80" * 40])
def test_what_is_no_key_is_refused(content: bytes) -> None:
    with refused(SettingsWrong, "no PKCS#12 file"):
        read(content)


def test_a_certificate_must_hold_on_the_day() -> None:
    key = new()
    with refused(SettingsWrong, "expired on 24 November 2026"):
        read(packed(key, certificate(key, since=NOW - 9 * DAY, until=NOW - DAY)))
    with refused(SettingsWrong, "holds only from 26 November 2026 on"):
        read(packed(key, certificate(key, since=NOW + DAY, until=NOW + 9 * DAY)))
    assert read(packed(key, certificate(key, since=NOW, until=NOW)))


def test_a_certificate_must_be_for_signing() -> None:
    key = new()
    for usage in ("digital_signature", "content_commitment", None):
        assert read(packed(key, certificate(key, usage=usage)))
    with refused(SettingsWrong, "not for signing documents"):
        read(packed(key, certificate(key, usage="key_encipherment")))


def test_key_and_certificate_belong_together() -> None:
    key = new()
    with refused(SettingsWrong, "lacks a private key with its certificate"):
        read(packed(key, None))
    with refused(SettingsWrong, "lacks a private key with its certificate"):
        read(packed(None, certificate(key)))


@pytest.fixture(scope="module")
def keys() -> dict[str, Any]:
    """A key of each kind that authorities give out."""
    return {
        "P-256": new(),
        "P-384": ec.generate_private_key(ec.SECP384R1()),
        "P-521": ec.generate_private_key(ec.SECP521R1()),
        "RSA": rsa.generate_private_key(65537, 2048),
    }


@pytest.mark.parametrize("kind", ["P-256", "P-384", "P-521", "RSA"])
def test_keys_of_every_usual_kind_sign(
    keys: dict[str, Any], kind: str, quote_pdf: bytes, tmp_path: Path
) -> None:
    """Poppler is the judge; the certificate comes from an authority, whose own is in the file too."""
    authority = new()
    root = certificate(authority, issuer="Specimen authority", usage="key_cert_sign")
    key = read(packed(keys[kind], certificate(keys[kind], issuer="Specimen authority", by=authority), root))
    path = tmp_path / "signed.pdf"
    path.write_bytes(signing.signed(quote_pdf, key))
    said = poppler("pdfsig", "-nocert", path)
    assert "Signature is Valid." in said
    assert "Total document signed" in said


@pytest.mark.parametrize("raw", [b"", b"0" * 70, InvalidSignature], ids=str)
def test_a_key_is_tried_out_on_a_document(raw: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever is wrong with it, a signature that does not hold is found when the key is read."""

    async def signs(*_: Any, **__: Any) -> bytes:
        if isinstance(raw, bytes):
            return raw
        raise raw

    monkeypatch.setattr(signing.SimpleSigner, "async_sign_raw", signs)
    key = new()
    with refused(SettingsWrong, r"^Signing key demo\.p12 signs what is not valid: "):
        read(packed(key, certificate(key)))


def test_what_was_rendered_stays_as_it_was_under_the_signature(certificate_pdf: bytes) -> None:
    key = new()
    signed = signing.signed(certificate_pdf, read(packed(key, certificate(key))))
    assert signed.startswith(certificate_pdf)
    assert len(certificate_pdf) < len(signed) < len(certificate_pdf) + 20_000


def test_a_trial_key_can_be_used_for_a_year() -> None:
    content = signing.trial_key("demo (trial key)", password=PASSWORD, now=NOW)
    for days in (0, 1, 364):
        assert signing.read_key(content, name="x", password=PASSWORD, now=NOW + days * DAY)
    with refused(SettingsWrong, "expired on 25 November 2027"):
        signing.read_key(content, name="x", password=PASSWORD, now=NOW + 366 * DAY)
