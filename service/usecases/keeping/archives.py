"""A job in one file, to keep or to hand over: every row, record, document and photo, with their digests."""

import hashlib
import json
import tempfile
from collections.abc import Collection, Iterator, Mapping
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from io import BufferedRandom
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Table

from service.documents.web.pages import asset
from service.engine.ground.messages import message
from service.errors import Erased, NotKnown
from service.store import (
    acceptances,
    clients,
    concessions,
    crews,
    entries,
    files,
    firms,
    imports,
    jobs,
    keys,
    photos,
    quote_options,
    quotes,
    seals,
    supplements,
    tables,
)
from service.store import certificates as issued
from service.store import rows as stored
from service.store.contents import content_of
from service.store.row_types import Certificate, CertificateHead, Job, some
from service.store.session import reading
from service.usecases.base.context import Context, loads
from service.usecases.base.json import written
from service.usecases.keeping.zipped import Writer
from service.usecases.work import documents
from service.usecases.work.jobs import found, sheet_owner
from service.usecases.work.record_shape import published
from service.usecases.work.rendering import Awaited, asked_for

FORMAT = "baywright-archive-1"
MANIFEST, QUOTE, LEDGER, README = "manifest.json", "quote.json", "ledger.json", "README.txt"
SCHEMA = "record.schema.json"
LINK = ("record_sha256", "previous_sha256", "chain_sha256")
NEIGHBOUR = ("number", "record_sha256", "chain_sha256")
DOCUMENTS = {"quote": "quote.pdf", "crew_sheet": "crew-sheet.pdf", "supplement": "supplement.pdf"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Rows of one table in one member; columns `without` are kept elsewhere or nowhere."""

    member: str
    table: Table
    many: bool = True
    without: Collection[str] = ()


# It lies in a member of its own.
CONTENT = ("content", "object_key", "size_bytes")
PARTS: Mapping[str, Part] = {
    "firm": Part(member=QUOTE, table=tables.firms, many=False),
    "quote": Part(member=QUOTE, table=tables.quotes, many=False),
    "client": Part(member=QUOTE, table=tables.clients, many=False),
    "options": Part(member=QUOTE, table=tables.quote_options),
    "cavities": Part(member=QUOTE, table=tables.quote_cavities),
    "acceptances": Part(member=LEDGER, table=tables.acceptances),
    # What a worker last found is worked out anew.
    "job": Part(member=LEDGER, table=tables.jobs, many=False, without=("ready_since",)),
    # Who held a key is part of the ledger; what would let anybody use it is not.
    "keys": Part(
        member=LEDGER,
        table=tables.keys,
        without=("digest", "last_used_at", "revoked_at", "first_id", "crew_id"),
    ),
    "assignments": Part(member=LEDGER, table=tables.assignments),
    "entries": Part(member=LEDGER, table=tables.entries),
    "concessions": Part(member=LEDGER, table=tables.concessions),
    "supplements": Part(member=LEDGER, table=tables.supplements),
    "supplement_cavities": Part(member=LEDGER, table=tables.supplement_cavities),
    "supplement_steps": Part(member=LEDGER, table=tables.supplement_steps),
    "photos": Part(member=LEDGER, table=tables.photos, without=CONTENT),
    "certificates": Part(member=LEDGER, table=tables.certificates, without=("record",)),
    "supersessions": Part(member=LEDGER, table=tables.supersessions),
    "withdrawals": Part(member=LEDGER, table=tables.withdrawals),
    "files": Part(member=LEDGER, table=tables.files, without=CONTENT),
    "seals": Part(member=LEDGER, table=tables.seals),
}


# What says which key it was done with, beside the client's erasure.
SIGNED = (
    *("acceptances", "assignments", "entries", "photos", "concessions", "supplements", "supplement_steps"),
    *("certificates", "withdrawals"),
)


def of_job(context: Context, job_id: UUID) -> tuple[str, BufferedRandom]:
    """A job's number and its archive, an open file that is gone once it is closed."""
    with ExitStack() as undone, reading(context.database, firm_id=context.firm_id, still=True) as connection:
        job = found(connection, context, job_id)
        file = undone.enter_context(tempfile.TemporaryFile())
        _write(connection, job, file)
        file.seek(0)
        undone.pop_all()
    return job["number"], file


def of_number(context: Context, number: str) -> BufferedRandom:
    """The archive of a job by its number, its documents made first; raises NotKnown when there is none."""
    with context.reading() as connection:
        job = jobs.by_number(connection, firm_id=context.firm_id, number=number)
    if job is None:
        raise NotKnown(message("keeping.no_such_job", number=number))
    with suppress(Erased):
        for kind, owner_id in _documents(context, job["id"]):
            documents.MAKERS[kind](context, owner_id)
    return of_job(context, job["id"])[1]


def awaited(context: Context, job_id: UUID) -> Awaited | None:
    """What a document waits for that is not there yet; none where all are, or their client's data is gone."""
    named = _documents(context, job_id)
    with suppress(Erased):
        asked = [asked_for(context, *each, client_of=named[0][1]) for each in named]
        return next((each for each in asked if isinstance(each, Awaited)), None)
    return None


@loads
def _documents(connection: Connection, context: Context, job_id: UUID) -> list[tuple[str, UUID]]:
    """Kind and owner of each document of a job: the quote's, the crew's sheet, certificates."""
    job = found(connection, context, job_id)
    issued_ids = [row["id"] for row in issued.of_job(connection, job_id)]
    steps = supplements.steps_of(connection, [job_id])
    return [
        ("quote", job["quote_id"]),
        ("crew_sheet", sheet_owner(steps, job_id)),
        *(("supplement", step["id"]) for step in steps if step["kind"] == "offer"),
        *(("certificate", certificate_id) for certificate_id in issued_ids),
    ]


def _write(connection: Connection, job: Job, file: BufferedRandom) -> None:
    parts = _parts(connection, job)
    names = names_of(parts)
    writer = Writer(file)
    members = []
    for name, content in _members(connection, job, parts, names):
        writer.add(name, content)
        members.append({"name": name, "bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()})
    manifest = {
        "format": FORMAT,
        "firm": parts["firm"]["code"],
        "job": job["number"],
        "members": members,
        "chain": _chain(connection, job, parts["certificates"]),
    }
    writer.add(MANIFEST, _json(manifest))
    writer.close()


def _parts(connection: Connection, job: Job) -> dict[str, Any]:
    """All rows of a job, by the name of their part."""
    quote = quotes.as_offered(connection, firm_id=job["firm_id"], quote_id=job["quote_id"])
    assert quote is not None
    certificates = issued.of_job(connection, job["id"])
    steps = supplements.steps_of(connection, [job["id"]])
    owners = [quote["id"], job["id"], *(row["id"] for row in (*certificates, *steps))]
    parts: dict[str, Any] = {
        "firm": firms.by_id(connection, job["firm_id"]),
        "quote": quote,
        "client": clients.of_quote(connection, quote["id"]),
        "options": quote_options.of_quote(connection, quote["id"]),
        "cavities": quotes.cavities_offered(connection, quote["id"]),
        "acceptances": acceptances.of_quote(connection, quote["id"]),
        "job": job,
        "assignments": crews.assignments_of(connection, job["id"]),
        "entries": entries.of_job(connection, job["id"]),
        "concessions": concessions.of_job(connection, job["id"]),
        "supplements": supplements.of_jobs(connection, [job["id"]]),
        "supplement_cavities": supplements.cavities_of(connection, job["id"]),
        "supplement_steps": steps,
        "photos": photos.of_job(connection, job["id"]),
        "certificates": certificates,
        "supersessions": issued.supersessions_of_job(connection, job["id"]),
        "withdrawals": issued.withdrawals_of_job(connection, job["id"]),
        "files": files.heads_of(connection, owners),
        "seals": seals.of_quote(connection, quote["id"]),
    }
    signed = [parts["client"], *(row for name in SIGNED for row in parts[name])]
    parts["keys"] = keys.by_ids(connection, {row["key_id"] for row in signed} - {None})
    return parts


def _members(
    connection: Connection, job: Job, parts: Mapping[str, Any], names: Mapping[UUID, str]
) -> Iterator[tuple[str, bytes]]:
    yield README, _readme(job, parts)
    yield SCHEMA, published()
    for member in (QUOTE, LEDGER):
        yield member, written({name: _rows(part, parts[name]) for name, part in _of(member)})
    for certificate in parts["certificates"]:
        yield record_name(certificate["number"]), bytes(certificate["record"])
    for file in files.of_owners(connection, [row["owner_id"] for row in parts["files"]]):
        if (content := content_of(connection, file)) is not None:
            yield file_name(file, names), content
    for photo in photos.whole(connection, job["id"]):
        if (content := content_of(connection, photo)) is not None:
            yield photo_name(photo), content


def _of(member: str) -> list[tuple[str, Part]]:
    return [(name, part) for name, part in PARTS.items() if part.member == member]


def _rows(part: Part, rows: Any) -> Any:
    return [_row(part, row) for row in rows] if part.many else _row(part, rows)


def _row(part: Part, row: Mapping[str, Any]) -> Any:
    # A column's name may carry a mark, and is no key of JSON then.
    return {str(name): row[name] for name in stored.names(part.table, part.without)}


def record_name(number: str) -> str:
    """Where a certificate's record lies."""
    return f"certificates/{number}/record.json"


def names_of(parts: Mapping[str, Any]) -> dict[UUID, str]:
    """What certificates and steps of supplements are called, by the id that their files have as an owner."""
    numbers = {row["id"]: row["number"] for row in parts["supplements"]}
    return {
        **{row["id"]: row["number"] for row in parts["certificates"]},
        **{
            row["id"]: f"{numbers[row['supplement_id']]}/{row['position']}"
            for row in parts["supplement_steps"]
        },
    }


def file_name(file: Mapping[str, Any], names: Mapping[UUID, str]) -> str:
    """Where a document lies."""
    if file["kind"] == "certificate":
        return f"certificates/{names[file['owner_id']]}/certificate.pdf"
    inside = f"supplements/{names[file['owner_id']]}/" if file["owner_id"] in names else ""
    return f"{inside}{DOCUMENTS[file['kind']]}"


def photo_name(photo: Mapping[str, Any]) -> str:
    """Where a photo lies."""
    return f"photos/{photo['id']}.jpg"


def _chain(connection: Connection, job: Job, certificates: list[Certificate]) -> dict[str, Any]:
    """The place of each certificate in the firm's chain: its digests, and its neighbours'."""
    imported = imports.of_quote(connection, job["quote_id"])
    known = imported["chain"] if imported else {}
    return {
        row["number"]: {
            **some(row, LINK),
            **_neighbours(connection, row, known.get(row["number"], {})),
        }
        for row in certificates
    }


def _neighbours(connection: Connection, row: CertificateHead, then: Mapping[str, Any]) -> dict[str, Any]:
    """The certificates before and after one: those that are here, else those that an import told of."""
    before: Mapping[str, Any] | None = issued.neighbour(connection, row, after=False)
    after: Mapping[str, Any] | None = issued.neighbour(connection, row, after=True)
    if before is None or before["chain_sha256"] != row["previous_sha256"]:
        before = then.get("before")
    if after is None or after["previous_sha256"] != row["chain_sha256"]:
        after = then.get("after")
    return {side: found and some(found, NEIGHBOUR) for side, found in (("before", before), ("after", after))}


def _json(value: Any) -> bytes:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, indent=1).encode()


def _readme(job: Job, parts: Mapping[str, Any]) -> bytes:
    firm, quote = parts["firm"]["data"], parts["quote"]
    words = {"firm": firm["name"], "job": job["number"], "quote": quote["number"]}
    return asset("archive.txt").format(**words).encode()
