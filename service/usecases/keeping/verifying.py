"""A certificate's file, verified by whoever holds it: without a database, without a network, without us.

What is found is said one by one: it holds, it is wrong, or it was not checked and why. Nothing that
the file itself names is asked or believed.
"""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

import rfc8785
from asn1crypto.x509 import Certificate

from service.documents.pdf import signatures
from service.documents.pdf.signatures import Signed, Stamp
from service.engine.ground.messages import Message, Value, message
from service.engine.ground.rfc3339 import read_moment
from service.errors import Malformed
from service.usecases.base.json import read_strictly
from service.usecases.firm.signing_keys import Signature
from service.usecases.keeping import anchors
from service.usecases.keeping.anchors import Anchor
from service.usecases.work.records import FORMAT

LARGEST_BYTES = 64_000_000


class Verdict(StrEnum):
    """What a sentence of a verification says."""

    HOLDS = "holds"
    WRONG = "wrong"
    UNCHECKED = "unchecked"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One thing that was looked at."""

    verdict: Verdict
    words: Message


@dataclass(frozen=True, slots=True, kw_only=True)
class _Record:
    """What a verification reads of a record."""

    number: str
    firm: str
    issued_at: datetime
    signature: Signature
    verify_url: str
    sha256: str


def verify(
    pdf: bytes, *, held: Sequence[Anchor], roots: Sequence[Certificate], now: datetime
) -> Iterator[Said]:
    """What a file says of itself, held against anchors and the certificates that its reader trusts.

    Raises Malformed for what is no PDF, or too large.
    """
    if len(pdf) > LARGEST_BYTES:
        raise Malformed(message("verify.too_large", most=LARGEST_BYTES))
    found = signatures.contents(pdf, roots=roots, now=now)
    record = _record(found.record)
    if record is None:
        yield _wrong("no_record" if found.record is None else "record_unreadable")
        return
    yield _note("certificate", number=record.number, firm=record.firm, issued_at=record.issued_at)
    yield _note("record", sha256=record.sha256)
    yield from _of_signature(found.signed, record.signature, bool(roots))
    yield from _of_place(record, held, roots, now)
    yield _note("standing", url=record.verify_url)


def _holds(code: str, **values: Value) -> Said:
    return Said(verdict=Verdict.HOLDS, words=message(f"verify.{code}", **values))


def _wrong(code: str, **values: Value) -> Said:
    return Said(verdict=Verdict.WRONG, words=message(f"verify.{code}", **values))


def _unchecked(code: str, **values: Value) -> Said:
    return Said(verdict=Verdict.UNCHECKED, words=message(f"verify.{code}", **values))


def _note(code: str, **values: Value) -> Said:
    return Said(verdict=Verdict.NOTE, words=message(f"verify.{code}", **values))


def _record(content: bytes | None) -> _Record | None:
    """The record, if it is one, written as records are (RFC 8785)."""
    try:
        plain: Any = read_strictly(content or b"")
        if plain["format"] != FORMAT or rfc8785.dumps(plain) != content:
            return None
        texts = (plain["number"], plain["firm"]["name"], plain["verify_url"])
        number, firm, url = (str(each) for each in texts)
        return _Record(
            number=number,
            firm=firm,
            issued_at=read_moment(plain["issued_at"]),
            signature=Signature(plain["signature"]),
            verify_url=url,
            sha256=hashlib.sha256(content or b"").hexdigest(),
        )
    except (ValueError, TypeError, LookupError, RecursionError):
        return None


def _of_signature(signed: Signed | None, meant: Signature, named: bool) -> Iterator[Said]:
    if signed is None:
        yield _unchecked("not_signed") if meant is Signature.NONE else _wrong("signature_missing")
        return
    if not (signed.fits and signed.whole):
        yield _wrong("altered", by=signed.by)
        return
    yield _holds("signed", by=signed.by, sha256=signed.sha256)
    yield _of_trust(signed, named)
    yield from _of_time(signed, meant, named)


def _of_trust(signed: Signed, named: bool) -> Said:
    if not named:
        return _unchecked("nobody_named", by=signed.by)
    return _holds("trusted", by=signed.by) if signed.trusted else _wrong("not_trusted", by=signed.by)


def _of_time(signed: Signed, meant: Signature, named: bool) -> Iterator[Said]:
    stamp = signed.stamp
    if stamp is None and meant is Signature.TIMESTAMPED:
        yield _wrong("stamp_missing")
    elif stamp is None and signed.claimed_at:
        yield _unchecked("not_stamped", at=signed.claimed_at)
    elif stamp is None:
        yield _unchecked("no_time")
    else:
        yield _of_stamp(stamp, named)
        if stamp.expired:
            yield _note("stamp_expired", by=stamp.by)


def _of_stamp(stamp: Stamp, named: bool) -> Said:
    if not stamp.fits:
        return _wrong("stamp_wrong", by=stamp.by)
    if not named:
        return _unchecked("stamp_nobody_named", by=stamp.by, at=stamp.at)
    if not stamp.trusted:
        return _wrong("stamp_not_trusted", by=stamp.by)
    return _holds("stamped", by=stamp.by, at=stamp.at)


def _of_place(
    record: _Record, held: Sequence[Anchor], roots: Sequence[Certificate], now: datetime
) -> Iterator[Said]:
    if not held:
        yield _unchecked("no_anchor")
    for anchor in held:
        yield _of_anchor_signature(anchor, roots, now)
        yield _in_chain(record, anchor)


def _of_anchor_signature(anchor: Anchor, roots: Sequence[Certificate], now: datetime) -> Said:
    about: dict[str, Value] = {"firm": anchor.firm, "made_at": anchor.made_at}
    if anchor.signature is None:
        return _unchecked("anchor_not_signed", **about)
    signed = signatures.over(anchors.signed_part(anchor), anchor.signature, roots=roots, now=now)
    if not signed.fits:
        return _wrong("anchor_altered", **about)
    if not roots:
        return _unchecked("anchor_nobody_named", by=signed.by, **about)
    code = "anchor_trusted" if signed.trusted else "anchor_not_trusted"
    return (_holds if signed.trusted else _wrong)(code, by=signed.by, **about)


def _in_chain(record: _Record, anchor: Anchor) -> Said:
    if anchor.since is None:
        return _unchecked("anchor_without_digests")
    if record.number.partition("-")[0].lower() != anchor.firm:
        return _unchecked("anchor_of_another_firm", firm=anchor.firm)
    if record.sha256 in anchor.records:
        place = anchor.since.count + anchor.records.index(record.sha256) + 1
        return _holds("in_chain", place=place, count=anchor.head.count, made_at=anchor.made_at)
    first = anchor.since.count + 1
    if first == 1 and anchor.made_at > record.issued_at:
        return _wrong("not_in_chain", made_at=anchor.made_at)
    return _unchecked("not_among", first=first, last=anchor.head.count, made_at=anchor.made_at)
