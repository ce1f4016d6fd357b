"""Anchors: where a firm's certificates and journal ended at a moment, in a small file to be kept elsewhere.

Whoever can change everything in a database, seals and digests included, cannot change what others
hold. An anchor holds the number of certificates and the chain's digest over all of them, the same of
the journal, which covers everything else that was issued, and, if asked, the digests of the records
that the chain was made of from an earlier place on: with those anybody can see that a certificate is
in the chain. It says nothing of clients.
"""

import base64
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any, NoReturn
from uuid import UUID

import rfc8785
from sqlalchemy import Connection, Engine

from service.documents.pdf.signing import signature_over
from service.engine.ground.messages import Message, message
from service.engine.ground.rfc3339 import moment_text, read_moment
from service.engine.survey.limits import FIRM_CODE
from service.errors import Conflict, Malformed, NotKnown
from service.settings import Settings
from service.store import certificates, firms, journal, seals
from service.store.row_types import Firm
from service.store.session import reading
from service.usecases.base.json import read_strictly
from service.usecases.base.seals import chained
from service.usecases.firm import signing_keys

FORMAT = "baywright-anchor-1"
LARGEST_BYTES = 64_000_000
DIGEST = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place in a chain: how many there are up to it, and the chain's digest over them."""

    count: int
    sha256: str


BEGINNING = Place(count=0, sha256=seals.NO_PREVIOUS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Anchor:
    """Where the chain of a firm's certificates, its `head`, and its `journal` ended at `made_at` (UTC).

    `records` are the digests of the records from the place `since` to the head, in their order;
    `signature` is a CMS (RFC 5652) of the firm's key over `signed_part`.
    """

    firm: str
    made_at: datetime
    head: Place
    journal: Place = BEGINNING
    since: Place | None = None
    records: Sequence[str] = ()
    signature: bytes | None = None


def of_now(
    database: Engine, settings: Settings, code: str | None, *, since: Place | None, now: datetime
) -> Anchor:
    """Where the chain of a firm ends now, signed where the firm signs; without a code of the only firm.

    Raises NotKnown for a firm that is not there, Conflict where it is one of several.
    """
    with reading(database, still=True) as connection:
        firm = _firm(connection, code)
        anchor = of_firm(connection, firm["id"], code=firm["code"], now=now, since=since)
    return signed(anchor, settings, firm["data"], now)


def of_every_firm(
    database: Engine, settings: Settings, since: Place | None, now: datetime
) -> Sequence[Anchor]:
    """Where the chain of each firm ends at one moment, each signed where its firm signs."""
    with reading(database, still=True) as connection:
        made = [
            (of_firm(connection, firm["id"], code=firm["code"], now=now, since=since), firm["data"])
            for firm in firms.every(connection)
        ]
    return [signed(anchor, settings, firm, now) for anchor, firm in made]


def signed(anchor: Anchor, settings: Settings, firm: Mapping[str, Any], now: datetime) -> Anchor:
    """An anchor with the signature of its firm (its data), if it signs at all."""
    by = signing_keys.by(settings, anchor.firm, firm, now)
    if by is None:
        return anchor
    return replace(anchor, signature=signature_over(signed_part(anchor), by.key, by.stamped))


def _firm(connection: Connection, code: str | None) -> Firm:
    there = firms.every(connection)
    wanted = [each for each in there if code in (None, each["code"])]
    if not wanted:
        raise NotKnown(message("firm.not_known", code=code or ""))
    if len(wanted) > 1:
        raise Conflict(message("keeping.anchor_of_which_firm", firms=tuple(each["code"] for each in wanted)))
    return wanted[0]


def of_firm(
    connection: Connection, firm_id: UUID, *, code: str, now: datetime, since: Place | None = None
) -> Anchor:
    """The head of a firm's chain, with the digests from the place `since` on where one is given.

    Raises Conflict where the chain does not lead from there to its head: it is another one, or
    certificates in between belong to jobs that are not here.
    """
    end = certificates.chain_end(connection, firm_id)
    head = Place(count=end["position"], sha256=end["chain_sha256"]) if end else BEGINNING
    noted = journal.end(connection, firm_id)
    bare = Anchor(
        firm=code,
        made_at=now.replace(microsecond=0),
        head=head,
        journal=Place(count=noted["position"], sha256=noted["chain_sha256"]) if noted else BEGINNING,
    )
    if since is None:
        return bare
    records = tuple(
        row["record_sha256"]
        for row in certificates.chain(connection, firm_id)
        if row["position"] > since.count
    )
    if not leads(since, records, head):
        raise Conflict(message("keeping.anchor_elsewhere", count=since.count))
    return replace(bare, since=since, records=records)


def leads(since: Place, records: Sequence[str], head: Place) -> bool:
    """Whether a chain goes from one place to another by these records."""
    end = since.sha256
    for sha256 in records:
        end = chained(end, sha256)
    return (since.count + len(records), end) == (head.count, head.sha256)


def faults(connection: Connection, anchor: Anchor) -> Iterator[Message]:
    """What of an anchor is not so in this database: a firm, certificates or their order are others."""
    firm = firms.by_code(connection, anchor.firm)
    if firm is None:
        yield message("keeping.anchor_of_no_firm", firm=anchor.firm)
        return
    if anchor.since:
        yield from _record_faults(connection, firm["id"], anchor, anchor.since)
    yield from _chain_faults(connection, firm["id"], anchor)
    yield from _journal_faults(connection, firm["id"], anchor)


def _record_faults(connection: Connection, firm_id: UUID, anchor: Anchor, since: Place) -> Iterator[Message]:
    told = dict(enumerate(anchor.records, start=since.count + 1))
    # Read to its end: a stream that is left half-way stays open.
    for row in certificates.chain(connection, firm_id):
        if told.get(row["position"], row["record_sha256"]) != row["record_sha256"]:
            yield message("keeping.anchor_other_record", number=row["number"], position=row["position"])


def _chain_faults(connection: Connection, firm_id: UUID, anchor: Anchor) -> Iterator[Message]:
    count, end = anchor.head.count, certificates.chain_end(connection, firm_id)
    here = end["position"] if end else 0
    if here < count:
        yield message("keeping.anchor_beyond", firm=anchor.firm, count=count, here=here)
    elif count and certificates.chain_at(connection, firm_id, count) != anchor.head.sha256:
        yield message("keeping.anchor_other_chain", firm=anchor.firm, count=count)


def _journal_faults(connection: Connection, firm_id: UUID, anchor: Anchor) -> Iterator[Message]:
    count, end = anchor.journal.count, journal.end(connection, firm_id)
    here = end["position"] if end else 0
    if here < count:
        yield message("keeping.anchor_journal_beyond", firm=anchor.firm, count=count, here=here)
    elif count and journal.at(connection, firm_id, count) != anchor.journal.sha256:
        yield message("keeping.anchor_other_journal", firm=anchor.firm, count=count)


def signed_part(anchor: Anchor) -> bytes:
    """What the firm's key signs: the canonical JSON (RFC 8785) of an anchor without its signature."""
    return rfc8785.dumps(_plain(anchor))


def written(anchor: Anchor) -> bytes:
    """An anchor as the file that is handed out."""
    signature = base64.b64encode(anchor.signature).decode() if anchor.signature else None
    return json.dumps({**_plain(anchor), "signature": signature}, indent=1).encode() + b"\n"


def _plain(anchor: Anchor) -> dict[str, Any]:
    since = {"since": _place(anchor.since), "records": list(anchor.records)} if anchor.since else {}
    made_at = moment_text(anchor.made_at.astimezone(UTC))
    return {
        "format": FORMAT,
        "firm": anchor.firm,
        "made_at": made_at,
        "head": _place(anchor.head),
        "journal": _place(anchor.journal),
        **since,
    }


def _place(place: Place) -> dict[str, Any]:
    return {"count": place.count, "sha256": place.sha256}


def read(content: bytes) -> Anchor:
    """The anchor in a file; raises Malformed for what is none, or whose digests do not lead to its head."""
    if len(content) > LARGEST_BYTES:
        _refuse("keeping.anchor_too_large", most=LARGEST_BYTES)
    try:
        anchor = _anchor(read_strictly(content))
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        _refuse("keeping.no_anchor")
    if anchor.since and not leads(anchor.since, anchor.records, anchor.head):
        _refuse("keeping.anchor_broken")
    return anchor


def _refuse(code: str, **values: int) -> NoReturn:
    raise Malformed(message(code, **values))


def _anchor(plain: dict[str, Any]) -> Anchor:
    if plain.pop("format") != FORMAT or not re.fullmatch(FIRM_CODE, plain["firm"]):
        raise ValueError("another format, or no firm's")
    signature, since = plain.pop("signature"), plain.pop("since", None)
    records = plain.pop("records", [])
    anchor = Anchor(
        firm=plain.pop("firm"),
        made_at=read_moment(plain.pop("made_at")),
        head=_read_place(plain.pop("head")),
        journal=_read_place(plain.pop("journal")),
        since=None if since is None else _read_place(since),
        records=tuple(_digest(each) for each in records),
        signature=None if signature is None else base64.b64decode(signature, validate=True),
    )
    if plain or (records and since is None):
        raise ValueError("something else is there, or digests from nowhere")
    return anchor


def _read_place(plain: dict[str, Any]) -> Place:
    if plain.keys() != {"count", "sha256"} or type(plain["count"]) is not int or plain["count"] < 0:
        raise ValueError("no place in a chain")
    return Place(count=plain["count"], sha256=_digest(plain["sha256"]))


def _digest(text: str) -> str:
    if not DIGEST.fullmatch(text):
        raise ValueError("no digest")
    return text
