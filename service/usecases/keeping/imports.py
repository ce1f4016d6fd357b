"""A job out of its archive, into a database that has not got it: as it was, or not at all.

Nothing of the archive is believed. Its members must be those of its manifest, its
rows complete, of their kinds and of one job; what then stands in the database
must pass the same examination as everything else there, before it is committed.
"""

import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, BinaryIO, NoReturn

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DataError, IntegrityError

from service.engine.ground.messages import Message, message
from service.engine.survey.limits import FIRM_CODE
from service.errors import Conflict, Fault, InvalidInput
from service.store import firms, imports, keys, quotes, series, tables, terms
from service.store import rows as stored
from service.store.session import writing
from service.usecases.base.clock import is_beyond
from service.usecases.base.json import read_strictly
from service.usecases.base.seals import chained
from service.usecases.keeping.archives import (
    FORMAT,
    LEDGER,
    LINK,
    MANIFEST,
    NEIGHBOUR,
    PARTS,
    QUOTE,
    README,
    SCHEMA,
    file_name,
    names_of,
    photo_name,
    record_name,
)
from service.usecases.keeping.checks import NUMBER, firm_faults
from service.usecases.keeping.issued import examine
from service.usecases.keeping.zipped import Reader
from service.usecases.work.terms import terms_of

LARGEST_JSON_BYTES = 64 * 2**20
NO_KEY = "0" * 64
STATED = "happened_at"
"""The one moment that is not the server's: kept as it was said, and marked where it is doubtful."""
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
    archive = Reader(file)
    manifest = _manifest(archive)
    parts = _read_parts(archive)
    _check_times(parts, now)
    _check_together(parts)
    _check_members(archive, parts)
    _check_chain(manifest["chain"], parts["certificates"])
    try:
        with writing(database) as connection:
            before = set(firm_faults(connection, parts["firm"]["id"]))
            _add(connection, archive, parts, now)
            imports.add(connection, parts["quote"]["id"], chain=manifest["chain"], now=now)
            _check_added(connection, parts, before)
    except IntegrityError:
        raise Conflict(message("keeping.row_in_the_way")) from None
    except UNSTORABLE:
        _refuse("", message("keeping.row_unstorable"))
    return Imported(firm=parts["firm"]["code"], job=parts["job"]["number"], members=len(archive.sizes))


def _refuse(name: str, detail: Message) -> NoReturn:
    raise InvalidInput(Fault(name, detail))


def _json(archive: Reader, name: str) -> dict[str, Any]:
    if archive.sizes.get(name, 0) > LARGEST_JSON_BYTES:
        _refuse(name, message("keeping.member_too_large", most=LARGEST_JSON_BYTES))
    try:
        value = read_strictly(archive.read(name))
    except (ValueError, RecursionError):
        _refuse(name, message("keeping.member_not_json"))
    if not isinstance(value, dict):
        _refuse(name, message("keeping.member_not_an_object"))
    return value


def _manifest(archive: Reader) -> Mapping[str, Any]:
    """The manifest, once every member is the one that it names."""
    manifest = _json(archive, MANIFEST)
    if manifest.get("format") != FORMAT:
        _refuse(MANIFEST, message("keeping.other_format", format=FORMAT))
    listed, chain = manifest.get("members"), manifest.get("chain")
    if not isinstance(listed, list) or not isinstance(chain, dict):
        _refuse(MANIFEST, message("keeping.manifest_incomplete"))
    members: dict[Any, Any] = {
        each.get("name"): each.get("sha256") for each in listed if isinstance(each, dict)
    }
    if members.keys() != archive.sizes.keys() - {MANIFEST}:
        _refuse(MANIFEST, message("keeping.other_members"))
    for name, sha256 in members.items():
        if hashlib.sha256(archive.read(name)).hexdigest() != sha256:
            _refuse(name, message("keeping.other_digest"))
    return manifest


def _read_parts(archive: Reader) -> dict[str, Any]:
    parts: dict[str, Any] = {}
    for member in (QUOTE, LEDGER):
        content = _json(archive, member)
        if content.keys() != {name for name, part in PARTS.items() if part.member == member}:
            _refuse(member, message("keeping.other_parts"))
        for name, value in content.items():
            try:
                parts[name] = _rows(name, value)
            except ValueError as error:
                _refuse(f"{member}#/{name}", message("keeping.row_of_no_kind", reason=str(error)))
    return parts


def _rows(name: str, value: Any) -> Any:
    part = PARTS[name]
    if not part.many:
        return stored.read(part.table, value, part.without)
    if not isinstance(value, list):
        raise ValueError(f"the {name} are not a list")
    return [stored.read(part.table, each, part.without) for each in value]


def _check_times(parts: Mapping[str, Any], now: datetime) -> None:
    """Refuse what was stored in a time that has not come; when it happened is what somebody said."""
    for name, part in PARTS.items():
        for row in parts[name] if part.many else [parts[name]]:
            for column, value in row.items():
                if isinstance(value, datetime) and column != STATED and is_beyond(value, now):
                    _refuse(f"{part.member}#/{name}", message("keeping.beyond_now", column=column))


def _check_together(parts: Mapping[str, Any]) -> None:
    """Refuse rows of anything but one job of one firm."""
    if not re.fullmatch(FIRM_CODE, parts["firm"]["code"]):
        _refuse(f"{QUOTE}#/firm", message("keeping.no_code"))
    firm, quote, job = parts["firm"]["id"], parts["quote"]["id"], parts["job"]["id"]
    certificates = {row["id"] for row in parts["certificates"]}
    supplements = {row["id"] for row in parts["supplements"]}
    steps = {row["id"] for row in parts["supplement_steps"]}
    allowed = {
        "firm_id": {firm},
        "quote_id": {quote},
        "job_id": {job},
        "certificate_id": certificates,
        "superseded_by": certificates | {None},
        "corrects": {row["id"] for row in parts["entries"]} | {None},
        "key_id": {row["id"] for row in parts["keys"]} | {None},
        "supplement_id": supplements,
        "owner_id": certificates | steps | {quote, job},
    }
    for name, part in PARTS.items():
        for row in parts[name] if part.many else [parts[name]]:
            for column in row.keys() & allowed.keys():
                if row[column] not in allowed[column]:
                    _refuse(f"{part.member}#/{name}", message("keeping.outside_the_job", column=column))
    numbered = [parts["quote"], parts["job"], *parts["certificates"]]
    if not all(NUMBER.fullmatch(row["number"] or "") for row in numbered):
        _refuse(LEDGER, message("keeping.no_number"))
    if parts["quote"]["state"] != "accepted":
        _refuse(QUOTE, message("keeping.quote_without_job"))


def _check_members(archive: Reader, parts: Mapping[str, Any]) -> None:
    """Refuse members that no row asks for, and rows whose member is missing."""
    numbers = {row["id"]: row["number"] for row in parts["certificates"]}
    names = names_of(parts)
    try:
        files = {file_name(row, names) for row in parts["files"] if row["erased_at"] is None}
    except KeyError:
        _refuse(f"{LEDGER}#/files", message("keeping.file_of_no_kind"))
    expected = {MANIFEST, QUOTE, LEDGER, README, SCHEMA, *files, *map(record_name, numbers.values())}
    expected |= {photo_name(row) for row in parts["photos"] if row["erased_at"] is None}
    if archive.sizes.keys() != expected:
        named = sorted(archive.sizes.keys() ^ expected)[0]
        _refuse(named, message("keeping.member_unasked"))
    for number in numbers.values():
        _json(archive, record_name(number))


def _check_chain(chain: Mapping[str, Any], certificates: Iterable[Mapping[str, Any]]) -> None:
    """Refuse neighbours in the firm's chain that these certificates do not fit between."""
    numbers = {row["number"]: row for row in certificates}
    if chain.keys() != numbers.keys() or not all(
        _fits(chain[number], row) for number, row in numbers.items()
    ):
        _refuse(f"{MANIFEST}#/chain", message("keeping.other_chain"))


def _fits(link: Any, row: Mapping[str, Any]) -> bool:
    if not isinstance(link, dict) or link.keys() != {*LINK, "before", "after"}:
        return False
    before, after = link["before"], link["after"]
    if not all(side is None or _is_neighbour(side) for side in (before, after)):
        return False
    return (
        all(link[name] == row[name] for name in LINK)
        and (before is None or before["chain_sha256"] == row["previous_sha256"])
        and (after is None or after["chain_sha256"] == chained(row["chain_sha256"], after["record_sha256"]))
    )


def _is_neighbour(side: Any) -> bool:
    return isinstance(side, dict) and side.keys() == set(NEIGHBOUR)


def _add(connection: Connection, archive: Reader, parts: Mapping[str, Any], now: datetime) -> None:
    firm, quote, job = parts["firm"], parts["quote"], parts["job"]
    _add_firm(connection, firm)
    if quotes.by_id(connection, firm_id=firm["id"], quote_id=quote["id"]):
        raise Conflict(message("keeping.job_there_already", number=job["number"]))
    _add_keys(connection, parts["keys"], now)
    # Cavities and client come with a draft alone: the triggers would refuse them afterwards.
    stored.add_all(connection, tables.quotes, [{**quote, "state": "draft", "version": quote["version"] - 1}])
    stored.add_all(connection, tables.quote_cavities, parts["cavities"])
    stored.add_all(connection, tables.clients, [parts["client"]])
    quotes.update(connection, quote["id"], {"state": quote["state"]})
    stored.add_all(connection, tables.jobs, [job])
    for name in ADDED_AS_THEY_ARE:
        stored.add_all(connection, PARTS[name].table, parts[name])
    _add_with_content(connection, archive, parts)
    for name in ("supersessions", "withdrawals", "seals"):
        stored.add_all(connection, PARTS[name].table, parts[name])
    _let_be_found(connection, parts)
    _count_on(connection, parts)


def _check_added(connection: Connection, parts: Mapping[str, Any], before: set[Message]) -> None:
    """What was added must pass the examination, and bring no new fault to its firm's chain and numbers."""
    firm_id = parts["firm"]["id"]
    found = examine(connection, firm_id=firm_id, quote_id=parts["quote"]["id"]).faults
    found += [fault for fault in firm_faults(connection, firm_id) if fault not in before]
    if found:
        raise InvalidInput(*(Fault("", fault) for fault in found))


def _add_firm(connection: Connection, firm: Mapping[str, Any]) -> None:
    there = firms.by_code(connection, firm["code"])
    if there is None:
        stored.add_all(connection, tables.firms, [firm])
    elif there["id"] != firm["id"]:
        raise Conflict(message("keeping.another_firm", code=firm["code"]))


def _add_keys(connection: Connection, rows: Iterable[Mapping[str, Any]], now: datetime) -> None:
    """Keep who held which key; the keys themselves open nothing here."""
    there = {row["id"] for row in keys.by_ids(connection, [row["id"] for row in rows])}
    new = [
        {**row, "digest": NO_KEY, "revoked_at": now, "last_used_at": None}
        for row in rows
        if row["id"] not in there
    ]
    stored.add_all(connection, tables.keys, new)


def _add_with_content(connection: Connection, archive: Reader, parts: Mapping[str, Any]) -> None:
    """Rows whose content lies in a member of its own, one at a time."""
    for row in parts["certificates"]:
        record = archive.read(record_name(row["number"]))
        stored.add_all(connection, tables.certificates, [{**row, "record": record}])
    names = names_of(parts)
    for table, rows, name in (
        (tables.files, parts["files"], lambda row: file_name(row, names)),
        (tables.photos, parts["photos"], photo_name),
    ):
        for row in rows:
            content = None if row["erased_at"] else archive.read(name(row))
            stored.add_all(connection, table, [{**row, "content": content}])


def _let_be_found(connection: Connection, parts: Mapping[str, Any]) -> None:
    """What is found by words in a list is found here too."""
    quote, client = parts["quote"], parts["client"]["data"] or {}
    surveyed = [row["surveyed"] for row in parts["cavities"]]
    found_by = list(terms_of(quote["reference"], client, client.get("address", ""), surveyed))
    for owner in (quote, parts["job"]):
        terms.replace(connection, firm_id=parts["firm"]["id"], owner_id=owner["id"], terms=found_by)


def _count_on(connection: Connection, parts: Mapping[str, Any]) -> None:
    """No number of these is given again."""
    numbered = {"quote": [parts["quote"]], "job": [parts["job"]], "certificate": parts["certificates"]}
    for kind, rows in numbered.items():
        for row in rows:
            year, serial = NUMBER.fullmatch(row["number"]).groups()  # type: ignore[union-attr]
            series.at_least(
                connection, firm_id=parts["firm"]["id"], kind=kind, year=int(year), number=int(serial)
            )
