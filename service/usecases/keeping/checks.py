"""Does everything that was issued still say what it said: a whole database, thing by thing.

Of each firm: that its certificates follow one another in one chain, and that no
number is missing. Of each quote: that everything issued of it is there as it was
sealed. Rows are read as they are needed: a large database takes time, not memory.

What was imported came without its neighbours: a gap in chain or numbers is no
fault where what follows it was imported.
"""

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import chain
from uuid import UUID

from sqlalchemy import Connection, Engine

from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import Numbered
from service.store import certificates, firms, quotes, references, seals, series
from service.store.session import reading
from service.usecases.base.seals import chained
from service.usecases.keeping import anchors, journalled
from service.usecases.keeping.anchors import Anchor
from service.usecases.keeping.assigned_checks import assigned_faults
from service.usecases.keeping.content_checks import ALL, Contents, Share
from service.usecases.keeping.event_checks import event_faults
from service.usecases.keeping.issued import UNREADABLE, Found, examine
from service.usecases.keeping.stock_checks import stock_faults

NUMBER = re.compile(r"[A-Za-z0-9-]{1,40}-([0-9]{4})-([0-9]{4,9})")


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What was looked at, where each firm's chain of certificates ends, and what was found wrong."""

    quotes: int
    certificates: int
    contents: Contents
    heads: tuple[Anchor, ...]
    faults: tuple[Message, ...]


def verify(
    database: Engine, held: Sequence[Anchor] = (), now: datetime | None = None, share: Share = ALL
) -> Report:
    """Verify everything that was issued, also against the anchors that were `held` elsewhere.

    Of what lies in objects this `share` is read, of everything else all. Nothing that is stored ends it:
    what cannot be read is named, and the rest is looked at.
    """
    with reading(database, still=True) as connection:
        return verified(connection, held, now or datetime.now(UTC), share)


def verified(connection: Connection, held: Sequence[Anchor], now: datetime, share: Share = ALL) -> Report:
    """The same, within a transaction."""
    heads, faults = _of_firms(connection, now)
    for table, rows in references.dangling(connection):
        faults.append(message("keeping.leads_nowhere", table=table, count=rows))
    for anchor in held:
        faults += _guarded(anchors.faults(connection, anchor), anchor.firm)
    count = issued = 0
    contents = Contents(share=share)
    for quote_id, firm_id in quotes.every(connection):
        found = _examined(connection, contents, firm_id=firm_id, quote_id=quote_id)
        count, issued = count + 1, issued + found.certificates
        faults += found.faults
    return Report(quotes=count, certificates=issued, contents=contents, heads=heads, faults=tuple(faults))


def _of_firms(connection: Connection, now: datetime) -> tuple[tuple[Anchor, ...], list[Message]]:
    """Where the chain of each firm ends, and what is wrong with it."""
    heads: list[Anchor] = []
    faults: list[Message] = []
    for stored_id, code in firms.codes(connection):
        try:
            firm_id = firms.by_id(connection, UUID(stored_id))["id"]
            heads.append(anchors.of_firm(connection, firm_id, code=code, now=now))
        except UNREADABLE:
            faults.append(message("keeping.firm_cannot_be_read", firm=code))
            continue
        faults += _guarded(firm_faults(connection, firm_id), code)
        faults += _guarded(stock_faults(connection, firm_id), code)
        faults += _guarded(assigned_faults(connection, firm_id), code)
        for found in journalled.faults(connection, firm_id):
            told = (message("keeping.of_firm", firm=code, fault=fault) for fault in found)
            faults += _guarded(told, code)
    return tuple(heads), faults


def _guarded(found: Iterator[Message], firm: str) -> Iterator[Message]:
    """These faults; and one more, where something cannot be read."""
    try:
        yield from found
    except UNREADABLE:
        yield message("keeping.firm_cannot_be_read", firm=firm)


def _examined(connection: Connection, contents: Contents, *, firm_id: str, quote_id: str) -> Found:
    try:
        return examine(connection, firm_id=UUID(firm_id), quote_id=UUID(quote_id), contents=contents)
    except UNREADABLE:
        return Found(faults=[message("keeping.quote_cannot_be_read", quote=quote_id)])


def firm_faults(connection: Connection, firm_id: UUID) -> Iterator[Message]:
    """What is wrong with a firm's chain of certificates and with its numbers."""
    return chain(
        _chain_faults(connection, firm_id),
        *(_number_faults(connection, firm_id, kind) for kind in series.KINDS),
        event_faults(connection, firm_id),
    )


def _chain_faults(connection: Connection, firm_id: UUID) -> Iterator[Message]:
    end, place = seals.NO_PREVIOUS, 0
    for row in certificates.chain(connection, firm_id):
        follows = row["position"] - 1 == place
        if row["previous_sha256"] != end and (follows or not row["imported"]):
            yield message("keeping.chain_broken", number=row["number"])
        if row["chain_sha256"] != chained(row["previous_sha256"], row["record_sha256"]):
            yield message("keeping.another_place", number=row["number"])
        end, place = row["chain_sha256"], row["position"]


def _number_faults(connection: Connection, firm_id: UUID, kind: str) -> Iterator[Message]:
    in_use: dict[int, list[tuple[int, bool]]] = defaultdict(list)
    for number, imported in series.in_use(connection, firm_id=firm_id, kind=kind):
        form = NUMBER.fullmatch(number)
        if form is None:
            yield message("keeping.no_such_form", kind=Numbered(kind), number=number)
            continue
        year, serial = map(int, form.groups())
        in_use[year].append((serial, imported))
    last_taken = series.last_taken(connection, firm_id=firm_id, kind=kind)
    for year in sorted(in_use | last_taken):
        due = 1
        for serial, imported in sorted(in_use[year]):
            if serial > due and not imported:
                yield _missing(kind, year, due, serial - 1)
            due = serial + 1
        last = last_taken.get(year, 0)
        if due <= last:
            yield _missing(kind, year, due, last)
        elif due > last + 1:
            yield message("keeping.counted_behind", kind=Numbered(kind), year=str(year), last=str(last))


def _missing(kind: str, year: int, first: int, last: int) -> Message:
    # A year is no quantity: it has no mark between its thousands.
    given = {"kind": Numbered(kind), "year": str(year), "first": str(first), "last": str(last)}
    return message("keeping.numbers_missing", count=last - first + 1, **given)
