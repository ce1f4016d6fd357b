"""A job out of its archive, into a database that has not got it: as it was, or not at all.

Nothing of the archive is believed. Its members must be those of its manifest, its
rows complete, of their kinds and of one job; what then stands in the database
must pass the same examination as everything else there, before it is committed.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, BinaryIO
from uuid import UUID

from sqlalchemy import Connection, Engine, Table
from sqlalchemy.exc import DataError, IntegrityError

from service.engine.ground.messages import Message, message
from service.errors import Conflict, Fault, InvalidInput
from service.store import firms, imports, keys, quotes, series, tables, terms
from service.store import rows as stored
from service.store.contents import PHOTO, Placed, inside, objects_of, place
from service.store.session import writing
from service.usecases.base import journal
from service.usecases.keeping.archives import PARTS, file_name, names_of, photo_name, record_name
from service.usecases.keeping.checks import NUMBER, firm_faults
from service.usecases.keeping.issued import UNREADABLE, examine
from service.usecases.keeping.unpacked import Unpacked, refuse, unpacked
from service.usecases.keeping.zipped import Reader
from service.usecases.work import lots
from service.usecases.work.terms import terms_of

ERASED: Mapping[str, Any] = {"content": None, "object_key": None, "size_bytes": 0}
NO_KEY = "0" * 64
ADDED_AS_THEY_ARE = (
    *("acceptances", "assignments", "entries", "concessions"),
    *("supplements", "supplement_cavities", "supplement_steps"),
)
UNSTORABLE = (DataError, ArithmeticError, UnicodeError)
"""What the drivers raise for numbers and texts that their databases do not hold."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What was imported."""

    firm: str
    job: str
    members: int


def restore(database: Engine, file: BinaryIO, now: datetime) -> Imported:
    """Import an archive; raises InvalidInput for one that is not whole, Conflict where something is there."""
    read = unpacked(file, now)
    parts = read.parts
    outside = dict(_outside(database, read))
    try:
        with writing(database) as connection:
            before = set(firm_faults(connection, parts["firm"]["id"]))
            _add(connection, read, outside, now)
            _check_added(connection, parts, before)
    except IntegrityError:
        raise Conflict(message("keeping.row_in_the_way")) from None
    except UNSTORABLE:
        refuse("", message("keeping.row_unstorable"))
    return Imported(firm=parts["firm"]["code"], job=parts["job"]["number"], members=len(read.archive.sizes))


def _outside(database: Engine, read: Unpacked) -> Iterator[tuple[str, Placed]]:
    """Put every content where contents lie, if that is outside, before anything is written.

    By its member where each lies then; the digest is the row's own.
    """
    if objects_of(database) is None:
        return
    firm_id = read.parts["firm"]["id"]
    for each in _contents(read.parts):
        if each.row["erased_at"] is None:
            where = {"firm_id": firm_id, "owner_id": each.owner_id, "name": each.name}
            yield each.member, place(database, **where, content=read.archive.read(each.member))


def _add(connection: Connection, read: Unpacked, outside: Mapping[str, Placed], now: datetime) -> None:
    """Add everything, and note it in the journal when nothing else is to be locked any more."""
    parts = read.parts
    new = _add_firm(connection, parts["firm"])
    keys_added = _add_keys(connection, parts["keys"], now)
    _add_job(connection, read, outside)
    _keep_stock_up(connection, parts)
    _let_be_found(connection, parts)
    _count_on(connection, parts)
    firm_id, quote = parts["firm"]["id"], parts["quote"]
    imports.add(connection, quote["id"], firm_id=firm_id, chain=read.chain, now=now)
    for kind, ids in (("firm", new), ("key", keys_added), ("import", [quote["id"]])):
        for subject_id in ids:
            journal.note(connection, firm_id, kind, subject_id)
    if parts["seals"]:
        end = max(parts["seals"], key=lambda row: row["position"])["chain_sha256"]
        journal.note_quote(connection, firm_id, quote["id"], count=quote["sealed"], end=end)


def _add_job(connection: Connection, read: Unpacked, outside: Mapping[str, Placed]) -> None:
    parts = read.parts
    firm, quote, job = parts["firm"], parts["quote"], parts["job"]
    if quotes.by_id(connection, firm_id=firm["id"], quote_id=quote["id"]):
        raise Conflict(message("keeping.job_there_already", number=job["number"]))
    # Cavities and client come with a draft alone: the triggers would refuse them afterwards.
    stored.add_all(connection, tables.quotes, [{**quote, "state": "draft", "version": quote["version"] - 1}])
    stored.add_all(connection, tables.quote_options, parts["options"])
    stored.add_all(connection, tables.quote_cavities, parts["cavities"])
    stored.add_all(connection, tables.clients, [parts["client"]])
    quotes.update(connection, quote["id"], {"state": quote["state"]})
    stored.add_all(connection, tables.jobs, [job])
    for name in ADDED_AS_THEY_ARE:
        stored.add_all(connection, PARTS[name].table, parts[name])
    _add_with_content(connection, read.archive, parts, outside)
    for name in ("supersessions", "withdrawals", "seals"):
        stored.add_all(connection, PARTS[name].table, parts[name])


def _check_added(connection: Connection, parts: Mapping[str, Any], before: set[Message]) -> None:
    """What was added must pass the examination, and bring no new fault to its firm's chain and numbers."""
    firm_id = parts["firm"]["id"]
    found = examine(connection, firm_id=firm_id, quote_id=parts["quote"]["id"]).faults
    found += [fault for fault in firm_faults(connection, firm_id) if fault not in before]
    if found:
        raise InvalidInput(*(Fault("", fault) for fault in found))


def _add_firm(connection: Connection, firm: Mapping[str, Any]) -> list[UUID]:
    """Add the firm unless it is there; returns its id if it was added."""
    there = firms.by_code(connection, firm["code"])
    if there is None:
        stored.add_all(connection, tables.firms, [firm])
        return [firm["id"]]
    if there["id"] != firm["id"]:
        raise Conflict(message("keeping.another_firm", code=firm["code"]))
    return []


def _add_keys(connection: Connection, rows: Iterable[Mapping[str, Any]], now: datetime) -> list[UUID]:
    """Keep who held which key; the keys themselves open nothing here. Returns the ids of those added."""
    there = {row["id"] for row in keys.by_ids(connection, [row["id"] for row in rows])}
    new = [
        {**row, "digest": NO_KEY, "revoked_at": now, "last_used_at": None}
        for row in rows
        if row["id"] not in there
    ]
    stored.add_all(connection, tables.keys, new)
    return [row["id"] for row in new]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Content:
    """A content of an archive: its table and row, its member, its owner and what its object is called."""

    table: Table
    row: Mapping[str, Any]
    member: str
    owner_id: UUID
    name: str


def _contents(parts: Mapping[str, Any]) -> Iterator[_Content]:
    names = names_of(parts)
    for row in parts["files"]:
        where = {"member": file_name(row, names), "owner_id": row["owner_id"], "name": row["kind"]}
        yield _Content(table=tables.files, row=row, **where)
    for row in parts["photos"]:
        where = {"member": photo_name(row), "owner_id": row["job_id"], "name": f"{PHOTO}/{row['id']}"}
        yield _Content(table=tables.photos, row=row, **where)


def _add_with_content(
    connection: Connection, archive: Reader, parts: Mapping[str, Any], outside: Mapping[str, Placed]
) -> None:
    """Rows whose content lies in a member of its own, one at a time."""
    for row in parts["certificates"]:
        record = archive.read(record_name(row["number"]))
        stored.add_all(connection, tables.certificates, [{**row, "record": record}])
    for each in _contents(parts):
        is_erased = each.row["erased_at"] is not None
        placed = ERASED if is_erased else outside.get(each.member) or inside(archive.read(each.member))
        stored.add_all(connection, each.table, [{**placed, **each.row}])


def _let_be_found(connection: Connection, parts: Mapping[str, Any]) -> None:
    """What is found by words in a list is found here too."""
    quote, client = parts["quote"], parts["client"]["data"] or {}
    surveyed = [row["surveyed"] for row in parts["cavities"]]
    found_by = list(terms_of(quote["reference"], client, client.get("address", ""), surveyed))
    for owner in (quote, parts["job"]):
        terms.replace(connection, firm_id=parts["firm"]["id"], owner_id=owner["id"], terms=found_by)


def _keep_stock_up(connection: Connection, parts: Mapping[str, Any]) -> None:
    """What the job says of material is of the firm's stock here too."""
    try:
        lots.keep_up(connection, parts["job"], parts["entries"])
    except UNREADABLE:
        refuse("", message("keeping.row_unstorable"))


def _count_on(connection: Connection, parts: Mapping[str, Any]) -> None:
    """No number of these is given again."""
    numbered = {"quote": [parts["quote"]], "job": [parts["job"]], "certificate": parts["certificates"]}
    for kind, rows in numbered.items():
        for row in rows:
            year, serial = NUMBER.fullmatch(row["number"]).groups()  # type: ignore[union-attr]
            series.at_least(
                connection, firm_id=parts["firm"]["id"], kind=kind, year=int(year), number=int(serial)
            )
