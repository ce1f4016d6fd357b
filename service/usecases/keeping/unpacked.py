"""An archive, taken apart and believed in nothing: its members, its rows, and that they are one whole job."""

import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, BinaryIO, NoReturn

from service.engine.ground.messages import Message, message
from service.engine.survey.limits import FIRM_CODE
from service.errors import Fault, InvalidInput
from service.store import rows as stored
from service.usecases.base.clock import is_beyond
from service.usecases.base.json import read_each_strictly, read_strictly
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
from service.usecases.keeping.checks import NUMBER
from service.usecases.keeping.zipped import Reader
from service.usecases.work.records import parted

LARGEST_JSON_BYTES = 128 * 2**20
RECORD = "/record.json"
STATED = "happened_at"
"""The one moment that is not the server's: kept as it was said, and marked where it is doubtful."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unpacked:
    """An archive that is whole: its rows by the name of their part, and the places of its certificates."""

    archive: Reader
    parts: Mapping[str, Any]
    chain: Mapping[str, Any]


def unpacked(file: BinaryIO, now: datetime) -> Unpacked:
    """The archive in a file; raises InvalidInput for one that is not whole."""
    archive = Reader(file)
    manifest = _manifest(archive)
    _check_records(archive)
    parts = _read_parts(archive)
    _check_times(parts, now)
    _check_together(parts)
    _check_members(archive, parts)
    _check_chain(manifest["chain"], parts["certificates"])
    return Unpacked(archive=archive, parts=parts, chain=manifest["chain"])


def refuse(name: str, detail: Message) -> NoReturn:
    """Refuse a member of an archive."""
    raise InvalidInput(Fault(name, detail))


def _json(archive: Reader, name: str) -> dict[str, Any]:
    _must_not_be_large(archive, name)
    return _object_of(name, archive.read(name))


def _must_not_be_large(archive: Reader, name: str) -> None:
    if archive.sizes.get(name, 0) > LARGEST_JSON_BYTES:
        refuse(name, message("keeping.member_too_large", most=LARGEST_JSON_BYTES))


def _object_of(name: str, content: bytes) -> dict[str, Any]:
    try:
        value = read_strictly(content)
    except (ValueError, RecursionError):
        refuse(name, message("keeping.member_not_json"))
    if not isinstance(value, dict):
        refuse(name, message("keeping.member_not_an_object"))
    return value


def _manifest(archive: Reader) -> Mapping[str, Any]:
    """The manifest, once every member is the one that it names."""
    manifest = _json(archive, MANIFEST)
    if manifest.get("format") != FORMAT:
        refuse(MANIFEST, message("keeping.other_format", format=FORMAT))
    listed, chain = manifest.get("members"), manifest.get("chain")
    if not isinstance(listed, list) or not isinstance(chain, dict):
        refuse(MANIFEST, message("keeping.manifest_incomplete"))
    members: dict[Any, Any] = {
        each.get("name"): each.get("sha256") for each in listed if isinstance(each, dict)
    }
    if members.keys() != archive.sizes.keys() - {MANIFEST}:
        refuse(MANIFEST, message("keeping.other_members"))
    for name, sha256 in members.items():
        if hashlib.sha256(archive.read(name)).hexdigest() != sha256:
            refuse(name, message("keeping.other_digest"))
    return manifest


def _read_parts(archive: Reader) -> dict[str, Any]:
    parts: dict[str, Any] = {}
    for member in (QUOTE, LEDGER):
        content = _json(archive, member)
        if content.keys() != {name for name, part in PARTS.items() if part.member == member}:
            refuse(member, message("keeping.other_parts"))
        for name, value in content.items():
            try:
                parts[name] = _rows(name, value)
            except ValueError as error:
                refuse(f"{member}#/{name}", message("keeping.row_of_no_kind", reason=str(error)))
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
                    refuse(f"{part.member}#/{name}", message("keeping.beyond_now", column=column))


def _check_together(parts: Mapping[str, Any]) -> None:
    """Refuse rows of anything but one job of one firm."""
    if not re.fullmatch(FIRM_CODE, parts["firm"]["code"]):
        refuse(f"{QUOTE}#/firm", message("keeping.no_code"))
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
                    refuse(f"{part.member}#/{name}", message("keeping.outside_the_job", column=column))
    numbered = [parts["quote"], parts["job"], *parts["certificates"]]
    if not all(NUMBER.fullmatch(row["number"] or "") for row in numbered):
        refuse(LEDGER, message("keeping.no_number"))
    if parts["quote"]["state"] != "accepted":
        refuse(QUOTE, message("keeping.quote_without_job"))


def _check_members(archive: Reader, parts: Mapping[str, Any]) -> None:
    """Refuse members that no row asks for, and rows whose member is missing."""
    numbers = {row["id"]: row["number"] for row in parts["certificates"]}
    names = names_of(parts)
    try:
        files = {file_name(row, names) for row in parts["files"] if row["erased_at"] is None}
    except KeyError:
        refuse(f"{LEDGER}#/files", message("keeping.file_of_no_kind"))
    expected = {MANIFEST, QUOTE, LEDGER, README, SCHEMA, *files, *map(record_name, numbers.values())}
    expected |= {photo_name(row) for row in parts["photos"] if row["erased_at"] is None}
    if archive.sizes.keys() != expected:
        named = sorted(archive.sizes.keys() ^ expected)[0]
        refuse(named, message("keeping.member_unasked"))


def _check_records(archive: Reader) -> None:
    """Refuse a record that is not JSON for every reader; part by part, for there may be thousands."""
    for name in archive.sizes:
        if name.endswith(RECORD):
            _must_not_be_large(archive, name)
            own, parts = parted(archive.read(name))
            _object_of(name, own)
            try:
                read_each_strictly(parts)
            except (ValueError, RecursionError):
                refuse(name, message("keeping.member_not_json"))


def _check_chain(chain: Mapping[str, Any], certificates: Iterable[Mapping[str, Any]]) -> None:
    """Refuse neighbours in the firm's chain that these certificates do not fit between."""
    numbers = {row["number"]: row for row in certificates}
    if chain.keys() != numbers.keys() or not all(
        _fits(chain[number], row) for number, row in numbers.items()
    ):
        refuse(f"{MANIFEST}#/chain", message("keeping.other_chain"))


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
