"""What the signatures in a file say, found by what stands in the file: nothing is fetched from anywhere.

A signature with a timestamp is judged as of that time, by the answers on revocation that the file
itself brings along; one without as of now, and whether its key was revoked then remains open.
"""

import asyncio
import io
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from asn1crypto import cms
from asn1crypto.x509 import Certificate
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.fields import MDPPerm
from pyhanko.sign.validation import (
    SignatureCoverageLevel,
    validate_pdf_signature,
    validate_pdf_timestamp,
)
from pyhanko.sign.validation.dss import DocumentSecurityStore
from pyhanko.sign.validation.errors import NoDSSFoundError
from pyhanko.sign.validation.generic_cms import async_validate_detached_cms
from pyhanko.sign.validation.settings import KeyUsageConstraints
from pyhanko_certvalidator import ValidationContext

from service.engine.ground.messages import message
from service.errors import Malformed

SIGNATURE, TIMESTAMP = "/Sig", "/DocTimeStamp"
RECORD = "record.json"
APART = timedelta(minutes=5)
"""Clocks of an authority for timestamps and of one for revocation may differ by so much."""
EITHER_USE = KeyUsageConstraints(
    key_usage={"non_repudiation", "digital_signature"}, match_all_key_usages=False
)
UNREADABLE = (
    PdfError,
    zlib.error,
    ValueError,
    TypeError,
    LookupError,
    AttributeError,
    ArithmeticError,
    RecursionError,
    NotImplementedError,
    OSError,
)
"""What the libraries raise for a file that is not as it should be: it may come from anybody."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """A timestamp of an authority: when, by whom, whether it fits, and whether those named vouch for it."""

    at: datetime
    by: str
    fits: bool
    trusted: bool
    expired: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """A signature: by whom, whether it fits what is there, and whether those named vouch for who signed.

    `whole` says that nothing came after it but what keeps it; `claimed_at` is the signer's own time.
    """

    by: str
    sha256: str
    fits: bool
    whole: bool
    trusted: bool
    claimed_at: datetime | None
    stamp: Stamp | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """What a file has of a certificate: the bytes of its record, and the firm's signature."""

    record: bytes | None
    signed: Signed | None


@contextmanager
def _refused(code: str) -> Iterator[None]:
    try:
        yield
    except UNREADABLE as error:
        raise Malformed(message(code)) from error


def contents(pdf: bytes, *, roots: Sequence[Certificate], now: datetime) -> Contents:
    """Record and signature of a PDF; `roots` vouch for signer and authority. Raises Malformed for no PDF."""
    with _refused("verify.no_pdf"):
        reader = PdfFileReader(io.BytesIO(pdf))
        signatures = reader.embedded_signatures
        first = next((each for each in signatures if each.sig_object_type == SIGNATURE), None)
        stamps = [each for each in signatures if each.sig_object_type == TIMESTAMP]
        record = _record(reader)
        if first is None:
            return Contents(record=record, signed=None)
        trust = _Trust(roots=roots, store=_store(reader), now=now)
        return Contents(record=record, signed=_signed(first, stamps[-1] if stamps else None, trust))


def _record(reader: PdfFileReader) -> bytes | None:
    """The attachment of this name among the files that belong to the document (ISO 32000-2, 14.13)."""
    attached = [each.get_object() for each in reader.root.get("/AF", ())]
    found = [each for each in attached if each.get("/UF", each.get("/F")) == RECORD]
    if len(found) > 1:
        raise ValueError("two records")
    return bytes(found[0]["/EF"]["/F"].data) if found else None


def _store(reader: PdfFileReader) -> DocumentSecurityStore | None:
    try:
        return DocumentSecurityStore.read_dss(reader)
    except NoDSSFoundError:
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Trust:
    """Who is trusted, and what a file brings along that is asked for whether they still were."""

    roots: Sequence[Certificate]
    store: DocumentSecurityStore | None
    now: datetime

    def at(self, moment: datetime | None) -> ValidationContext:
        """Whom to trust at a moment; without one now, when nobody can be asked about revocation."""
        rules: dict[str, Any] = {"trust_roots": list(self.roots), "time_tolerance": APART}
        rules |= {"moment": moment or self.now, "revocation_mode": "hard-fail" if moment else "soft-fail"}
        if self.store is None:
            return ValidationContext(**rules, crls=[], ocsps=[])
        return self.store.as_validation_context(rules)


def _signed(first: Any, last: Any, trust: _Trust) -> Signed:
    over = first.signer_info
    stamp = _document_stamp(last, trust) if last else _own_stamp(first, trust)
    moment = stamp.at if stamp and stamp.fits and stamp.trusted else None
    found = validate_pdf_signature(
        first, trust.at(moment), trust.at(_told(over, moment)), key_usage_settings=EITHER_USE
    )
    return Signed(
        by=_name(found.signing_cert),
        sha256=found.signing_cert.sha256.hex(),
        fits=bool(found.intact and found.valid),
        whole=bool(found.docmdp_ok) and _closed(first, last),
        trusted=bool(found.trusted),
        claimed_at=first.self_reported_timestamp,
        stamp=stamp,
    )


def _closed(first: Any, last: Any) -> bool:
    """Whether the signature allows nothing after it, and the last of both covers the whole file."""
    end = last or first
    covers = end.evaluate_signature_coverage() == SignatureCoverageLevel.ENTIRE_FILE
    return bool(covers and first.docmdp_level is MDPPerm.NO_CHANGES)


def _document_stamp(last: Any, trust: _Trust) -> Stamp:
    found = validate_pdf_timestamp(last, trust.at(_time_of(last.signed_data)))
    return _stamp(found, trust)


def _own_stamp(first: Any, trust: _Trust) -> Stamp | None:
    """The timestamp in a signature that has none over the file (B-T)."""
    moment = _told(first.signer_info, None)
    if moment is None:
        return None
    found = validate_pdf_signature(first, trust.at(None), trust.at(moment), key_usage_settings=EITHER_USE)
    return _stamp(found.timestamp_validity, trust)


def _told(signer: cms.SignerInfo, otherwise: datetime | None) -> datetime | None:
    """The time in the timestamp of a signature, to be believed once that is found to hold."""
    for each in signer["unsigned_attrs"] or ():
        if each["type"].native == "signature_time_stamp_token":
            return _time_of(each["values"][0]["content"])
    return otherwise


def _name(certificate: Certificate) -> str:
    subject = certificate.subject
    return str(subject.native.get("common_name") or subject.human_friendly)


def _time_of(token: cms.SignedData) -> datetime:
    moment: datetime = token["encap_content_info"]["content"].parsed["gen_time"].native
    return moment


def _stamp(found: Any, trust: _Trust) -> Stamp:
    authority = found.signing_cert
    return Stamp(
        at=found.timestamp,
        by=_name(authority),
        fits=bool(found.intact and found.valid),
        trusted=bool(found.trusted),
        expired=authority.not_valid_after < trust.now,
    )


def over(content: bytes, signature: bytes, *, roots: Sequence[Certificate], now: datetime) -> Signed:
    """A signature apart from what it is over (`signing.signature_over`); raises Malformed for none."""
    with _refused("verify.no_signature"):
        data = cms.ContentInfo.load(signature, strict=True)["content"]
        (signer,) = data["signer_infos"]
        moment, trust = _told(signer, None), _Trust(roots=roots, store=None, now=now)
        # It brings no answers on revocation along: those stay open.
        by_now = trust.at(None)
        stamps = ValidationContext(trust_roots=list(roots), moment=moment or now, time_tolerance=APART)
        found: Any = asyncio.run(
            async_validate_detached_cms(content, data, by_now, stamps, key_usage_settings=EITHER_USE)
        )
        return Signed(
            by=_name(found.signing_cert),
            sha256=found.signing_cert.sha256.hex(),
            fits=bool(found.intact and found.valid),
            whole=True,
            trusted=bool(found.trusted),
            claimed_at=found.signer_reported_dt,
            stamp=_stamp(found.timestamp_validity, trust) if moment else None,
        )
