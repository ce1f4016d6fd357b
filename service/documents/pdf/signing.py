"""A firm's electronic signature on its certificates: PAdES baseline level B (ETSI EN 319 142-1).

It covers the whole file, allows no change after it, and shows on no page: a visible one
would break the claim of PDF/UA-1. Readers show it in a panel of their own.
"""

import io
from datetime import datetime, timedelta

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, pkcs12
from cryptography.x509.oid import NameOID
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.fields import MDPPerm, SigFieldSpec, SigSeedSubFilter
from pyhanko.sign.signers import PdfSignatureMetadata, PdfSigner, SimpleSigner

from service.errors import SettingsWrong

FIELD = "signature"
FIELD_FOR_PEOPLE = "Electronic signature of the firm that issued this certificate"
TRIAL_DAYS = 365


def read_key(content: bytes, *, name: str, password: str, now: datetime) -> SimpleSigner:
    """A private key and its certificate out of the PKCS#12 file (RFC 7292) called `name`.

    Raises SettingsWrong when the password does not open it or the certificate does not hold at `now`.
    """
    fault = _fault(content, password, now)
    if fault:
        raise SettingsWrong(f"Signing key {name} {fault}.")
    key: SimpleSigner = SimpleSigner.load_pkcs12_data(content, other_certs=(), passphrase=password.encode())
    return key


def signed(pdf: bytes, key: SimpleSigner) -> bytes:
    """The same file with the signature after its last byte; what was there stays as it was."""
    meant = PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        subfilter=SigSeedSubFilter.PADES,
        certify=True,
        docmdp_permissions=MDPPerm.NO_CHANGES,
    )
    field = SigFieldSpec(FIELD, readable_field_name=FIELD_FOR_PEOPLE)
    writer = IncrementalPdfFileWriter(io.BytesIO(pdf))
    result: bytes = PdfSigner(meant, key, new_field_spec=field).sign_pdf(writer).getvalue()
    return result


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


def _fault(content: bytes, password: str, now: datetime) -> str | None:
    try:
        bundle = pkcs12.load_pkcs12(content, password.encode())
    except ValueError:
        return "is no PKCS#12 file that the signing password opens"
    except UnsupportedAlgorithm:
        return "is encrypted by a method that is no longer supported: export it anew"
    if bundle.key is None or bundle.cert is None:
        return "lacks a private key with its certificate"
    certificate = bundle.cert.certificate
    if now < certificate.not_valid_before_utc:
        return f"has a certificate that holds only from {_day(certificate.not_valid_before_utc)} on"
    if now > certificate.not_valid_after_utc:
        return f"has a certificate that expired on {_day(certificate.not_valid_after_utc)}"
    return None if _may_sign(certificate) else "has a certificate that is not for signing documents"


def _may_sign(certificate: x509.Certificate) -> bool:
    """Whether its key usage (RFC 5280, 4.2.1.3), where it has one, is that of documents."""
    try:
        usage = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    except x509.ExtensionNotFound:
        return True
    return usage.digital_signature or usage.content_commitment


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


def _day(moment: datetime) -> str:
    return moment.date().isoformat()
