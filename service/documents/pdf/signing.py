"""A firm's electronic signature on its certificates: PAdES baseline (ETSI EN 319 142-1), level B-B, or
B-LTA with the timestamps of an authority.

It covers the whole file, allows no change after it, and shows on no page: a visible one
would break the claim of PDF/UA-1. Readers show it in a panel of their own.
"""

import asyncio
import io
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any

from asn1crypto.x509 import Certificate
from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, pkcs12
from cryptography.x509.oid import NameOID
from pyhanko.keys import load_certs_from_pemder_data
from pyhanko.pdf_utils.generic import StreamObject
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.pdf_utils.writer import PageObject, PdfFileWriter
from pyhanko.sign.fields import MDPPerm, SigFieldSpec, SigSeedSubFilter
from pyhanko.sign.general import SigningError
from pyhanko.sign.signers import PdfSignatureMetadata, PdfSigner, SimpleSigner
from pyhanko.sign.validation import SignatureCoverageLevel, validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

from service.documents.pdf.key_faults import certificate_fault, opened
from service.documents.pdf.timestamps import Timestamps, refusing
from service.engine.ground.messages import Message, message
from service.errors import SettingsWrong

FIELD, DIGEST = "signature", "sha256"
FIELD_FOR_PEOPLE = "Electronic signature of the firm that issued this certificate"
TRIAL_DAYS = 365
A4_PT = (595, 842)
ENTIRE_FILE = SignatureCoverageLevel.ENTIRE_FILE
UNSIGNED = (PdfError, SigningError, InvalidSignature, NotImplementedError, TypeError, ValueError)
"""What the library raises for a key that cannot sign, and for a signature that cannot be read."""


def read_key(content: bytes, *, name: str, password: str, now: datetime) -> SimpleSigner:
    """A private key and its certificate out of the PKCS#12 file (RFC 7292) called `name`.

    Raises SettingsWrong when the password does not open it, it is of no kind that is allowed, what it
    signs is not valid, or its certificate does not hold at `now`.
    """
    key = _tried(content, password)
    if isinstance(key, Message):
        raise SettingsWrong(message("documents.key_wrong", file=name, fault=key))
    if fault := certificate_fault(_certificate(key), now):
        raise SettingsWrong(message("documents.key_wrong", file=name, fault=fault))
    return key


def read_trusted(content: bytes, *, name: str) -> list[Certificate]:
    """The certificates in a PEM or DER file called `name`; raises SettingsWrong where there are none."""
    try:
        found = list(load_certs_from_pemder_data(content))
        # The library reads no further than it must: what is no certificate shows when it is looked at.
        named = [each.subject.dump() for each in found]
    except (ValueError, TypeError, KeyError):
        named = []
    if not named:
        raise SettingsWrong(message("documents.no_certificates", file=name))
    return found


def _certificate(key: SimpleSigner) -> x509.Certificate:
    assert key.signing_cert is not None
    return x509.load_der_x509_certificate(key.signing_cert.dump())


@lru_cache(maxsize=64)
def _tried(content: bytes, password: str) -> SimpleSigner | Message:
    """The key in a file once a document that it signed was found valid; else what is wrong with it.

    Of the same bytes it is always the same, and takes seconds where a key is long.
    """
    bundle = opened(content, password)
    if isinstance(bundle, Message):
        return bundle
    key: SimpleSigner = SimpleSigner.load_pkcs12_data(content, other_certs=(), passphrase=password.encode())
    return key if _signs(key) else message("documents.key_signs_invalid")


def _signs(key: SimpleSigner) -> bool:
    """Whether a document that it signs is found valid: by its bytes, whoever vouches for the key."""
    try:
        (signature,) = PdfFileReader(io.BytesIO(signed(_blank(), key))).embedded_signatures
        itself = ValidationContext(trust_roots=[key.signing_cert], allow_fetching=False)
        found = validate_pdf_signature(signature, itself)
    except UNSIGNED:
        return False
    return bool(found.intact and found.valid and found.coverage == ENTIRE_FILE)


def _blank() -> bytes:
    """A document of one empty page."""
    # The library has no types here.
    writer: Any = PdfFileWriter()  # type: ignore[no-untyped-call]
    page: Any = PageObject
    nothing = writer.add_object(StreamObject(stream_data=b""))
    writer.insert_page(page(nothing, (0, 0, *A4_PT)))
    file = io.BytesIO()
    writer.write(file)
    return file.getvalue()


def signed(pdf: bytes, key: SimpleSigner, stamped: Timestamps | None = None) -> bytes:
    """The same file with the signature after its last byte; what was there stays as it was.

    Raises Unavailable where timestamps are meant and none can be had, and SettingsWrong where nobody
    vouches for the key or the authority.
    """
    meant: dict[str, Any] = {
        "field_name": FIELD,
        "md_algorithm": DIGEST,
        "subfilter": SigSeedSubFilter.PADES,
        "certify": True,
        "docmdp_permissions": MDPPerm.NO_CHANGES,
    }
    field = SigFieldSpec(FIELD, readable_field_name=FIELD_FOR_PEOPLE)
    writer = IncrementalPdfFileWriter(io.BytesIO(pdf))
    with refusing(stamped):
        signer = PdfSigner(
            stamped.added_to(meant) if stamped else PdfSignatureMetadata(**meant),
            key,
            timestamper=stamped.client if stamped else None,
            new_field_spec=field,
        )
        result: bytes = signer.sign_pdf(writer).getvalue()
    return result


def signature_over(content: bytes, key: SimpleSigner, stamped: Timestamps | None = None) -> bytes:
    """The firm's signature over something that is no PDF, apart from it: a CMS (RFC 5652) in DER."""
    client = stamped.client if stamped else None
    with refusing(stamped):
        made = asyncio.run(key.async_sign_general_data(content, DIGEST, timestamper=client))
    return bytes(made.dump())


def trial_key(name: str, *, password: str, now: datetime) -> bytes:
    """A new key as PKCS#12 for trying signing out: nobody but itself vouches for it."""
    key = ec.generate_private_key(ec.SECP256R1())
    itself = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(itself)
        .issuer_name(itself)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now)
        .not_valid_after(now + timedelta(days=TRIAL_DAYS))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_for_documents(), critical=True)
        .sign(key, hashes.SHA256())
    )
    return pkcs12.serialize_key_and_certificates(
        name.encode(), key, certificate, None, BestAvailableEncryption(password.encode())
    )


def _for_documents() -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=True,
        content_commitment=True,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=False,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )
