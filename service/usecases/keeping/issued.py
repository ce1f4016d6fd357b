"""Everything that was issued of one quote, as the database has it now, held against how it was sealed."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

import orjson
from sqlalchemy import Connection
from sqlalchemy.exc import NoResultFound

from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import JobState, QuoteState, Sealed
from service.store import (
    acceptances,
    certificates,
    clients,
    concessions,
    crews,
    entries,
    files,
    jobs,
    photos,
    quote_options,
    quotes,
    seals,
    supplements,
)
from service.store.row_types import (
    Acceptance,
    Certificate,
    Client,
    Job,
    Photo,
    Quote,
    Seal,
    Supplement,
    SupplementStep,
)
from service.usecases.base.seals import (
    chained,
    digest,
    of_closure,
    of_erasure,
    of_job,
    of_offer,
    of_rows,
    of_supersession,
    of_supplement,
    of_withdrawal,
)
from service.usecases.keeping import erased_objects
from service.usecases.keeping.content_checks import Contents, content_faults
from service.usecases.keeping.journalled import quote_faults
from service.usecases.work.clients import digest as client_digest
from service.usecases.work.clients import place_of
from service.usecases.work.records import parted
from service.usecases.work.states import state_of

# What reading raises where somebody put a value that is none.
UNREADABLE = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError, NoResultFound)


@dataclass(slots=True, kw_only=True)
class Found:
    """What was looked at, and what was found wrong, each by itself."""

    certificates: int = 0
    faults: list[Message] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rows:
    """The rows of a quote and of what became of it."""

    quote: Quote
    client: Client
    acceptances: list[Acceptance]
    job: Job | None
    certificates: list[Certificate]
    supplements: list[Supplement]
    steps: list[SupplementStep]
    seals: list[Seal]

    @property
    def owners(self) -> list[UUID]:
        """Whose files are this quote's."""
        job = [self.job["id"]] if self.job else []
        return [self.quote["id"], *job, *(row["id"] for row in (*self.certificates, *self.steps))]


def examine(
    connection: Connection, *, firm_id: UUID, quote_id: UUID, contents: Contents | None = None
) -> Found:
    """Hold a quote, its job, ledger, certificates, files and photos against their digests and seals.

    Its files and photos are counted among the `contents`; without any, each of them is read.
    """
    found = Found()
    try:
        _examine(connection, firm_id, quote_id, found, contents or Contents())
    except UNREADABLE:
        # A value that was put there by hand need not be one that can be read at all.
        found.faults.append(_of_quote(quote_id, message("keeping.cannot_be_read")))
    return found


def _examine(connection: Connection, firm_id: UUID, quote_id: UUID, found: Found, contents: Contents) -> None:
    quote = quotes.as_offered(connection, firm_id=firm_id, quote_id=quote_id)
    if quote is None:
        found.faults.append(_of_quote(quote_id, message("keeping.client_removed")))
        return
    job = jobs.of_quote(connection, quote_id)
    rows = _Rows(
        quote=quote,
        client=clients.of_quote(connection, quote_id),
        acceptances=acceptances.of_quote(connection, quote_id),
        job=job,
        certificates=certificates.of_job(connection, job["id"]) if job else [],
        supplements=supplements.of_jobs(connection, [job["id"]]) if job else [],
        steps=supplements.steps_of(connection, [job["id"]]) if job else [],
        seals=seals.of_quote(connection, quote_id),
    )
    found.certificates = len(rows.certificates)
    name = quote["number"] or quote_id
    found.faults += [_of_quote(name, fault) for fault in _faults(connection, rows, contents)]


def _of_quote(name: str | UUID, fault: Message) -> Message:
    return message("keeping.of_quote", quote=str(name), fault=fault)


def _faults(connection: Connection, rows: _Rows, contents: Contents) -> Iterator[Message]:
    yield from _state_faults(rows)
    yield from _job_faults(connection, rows)
    yield from _client_faults(rows.client)
    yield from _acceptance_faults(rows)
    yield from _certificate_faults(rows)
    yield from _supplement_faults(rows)
    issued, erased_at = dict(_issued(connection, rows)), rows.client["erased_at"]
    for file in files.of_owners(connection, rows.owners):
        issued |= of_rows("file", [file])
        named = (_sealed(f"{file['kind']}_file"), str(file["owner_id"]))
        yield from content_faults(connection, file, named, erased_at, contents)
    if rows.job:
        for photo in photos.whole(connection, rows.job["id"]):
            issued |= of_rows("photo", [photo])
            named = (Sealed.PHOTO, str(photo["id"]))
            yield from content_faults(connection, photo, named, erased_at, contents)
            yield from _place_faults(photo, rows.client)
    if erased_at:
        yield from erased_objects.faults(connection, rows.quote, rows.owners)
    yield from _seal_faults(issued, rows)
    yield from quote_faults(connection, rows.quote, rows.seals)


def _issued(connection: Connection, rows: _Rows) -> Iterator[tuple[tuple[str, str], Any]]:
    """Everything but files and photos, which are read one by one."""
    if rows.quote["number"]:
        cavities = quotes.cavities_offered(connection, rows.quote["id"])
        options = quote_options.of_quote(connection, rows.quote["id"])
        yield from of_offer(rows.quote, cavities, options).items()
        if rows.quote["withdrawn_at"]:
            yield from of_withdrawal(rows.quote).items()
        if rows.quote["superseded_at"]:
            yield from of_supersession(rows.quote).items()
        if rows.client["erased_at"]:
            yield from of_erasure(rows.client).items()
    yield from of_rows("acceptance", rows.acceptances).items()
    if rows.job:
        job_id = rows.job["id"]
        yield from of_job(rows.job).items()
        if rows.job["state"] == "closed":
            yield from of_closure(rows.job).items()
        yield from of_rows("assignment", crews.assignments_of(connection, job_id)).items()
        yield from of_rows("entry", entries.of_job(connection, job_id)).items()
        yield from of_rows("concession", concessions.of_job(connection, job_id)).items()
        yield from _supplements(connection, rows, job_id)
        yield from of_rows("certificate", rows.certificates).items()
        yield from of_rows("supersession", certificates.supersessions_of_job(connection, job_id)).items()
        yield from of_rows("withdrawal", certificates.withdrawals_of_job(connection, job_id)).items()


def _supplements(connection: Connection, rows: _Rows, job_id: UUID) -> Iterator[tuple[tuple[str, str], Any]]:
    """Supplements with their cavities, and what became of them."""
    cavities = supplements.cavities_of(connection, job_id) if rows.supplements else []
    for each in rows.supplements:
        own = [row for row in cavities if row["supplement_id"] == each["id"]]
        yield from of_supplement(each, own).items()
    yield from of_rows("supplement_step", rows.steps).items()


def _supplement_faults(rows: _Rows) -> Iterator[Message]:
    """Numbers without a gap, steps without a gap, and who accepted or refused each that a client did."""
    whose = {row["owner_id"] for row in rows.acceptances}
    for serial, each in enumerate(rows.supplements, start=1):
        steps = [row for row in rows.steps if row["supplement_id"] == each["id"]]
        if each["serial"] != serial or not each["number"].endswith(f"-S{serial}"):
            yield message("keeping.supplement_misnumbered", supplement=each["number"], place=serial)
        if [row["position"] for row in steps] != list(range(1, len(steps) + 1)) or not steps:
            yield message("keeping.supplement_step_removed", supplement=each["number"])
        if any(UUID(offer) not in whose for row in steps if (offer := _answered(row))):
            yield message("keeping.supplement_acceptor_missing", supplement=each["number"])


def _answered(step: SupplementStep) -> str | None:
    """The offer that a client said yes to, or no by his link."""
    answers = step["kind"] in ("acceptance", "refusal")
    return step["data"].get("offer") if answers else None


def _seal_faults(issued: dict[tuple[str, str], Any], rows: _Rows) -> Iterator[Message]:
    end = seals.NO_PREVIOUS
    for position, seal in enumerate(rows.seals, start=1):
        if seal["position"] != position or seal["chain_sha256"] != chained(end, seal["sha256"]):
            yield message("keeping.chain_of_seals_broken", position=seal["position"])
        end = seal["chain_sha256"]
        content = issued.pop((seal["kind"], seal["subject"]), None)
        if content is None:
            yield message("keeping.sealed_removed", thing=_sealed(seal["kind"]), subject=seal["subject"])
        elif digest(content) != seal["sha256"]:
            yield message("keeping.sealed_altered", thing=_sealed(seal["kind"]), subject=seal["subject"])
    if len(rows.seals) != rows.quote["sealed"]:
        yield message("keeping.seals_counted", count=len(rows.seals), due=rows.quote["sealed"])
    for kind, subject in issued:
        yield message("keeping.never_sealed", thing=_sealed(kind), subject=subject)


def _sealed(kind: str) -> Sealed | str:
    """The kind of a seal as a word; what was put there by hand need not be one."""
    return Sealed(kind) if kind in set(Sealed) else kind


def _state_faults(rows: _Rows) -> Iterator[Message]:
    should = "draft"
    if rows.quote["number"]:
        should = "accepted" if rows.job else "offered"
    if rows.quote["withdrawn_at"]:
        should = "withdrawn"
    if rows.quote["superseded_at"] or rows.quote["superseded_by"]:
        should = "superseded"
    if rows.quote["state"] != should:
        yield message("keeping.quote_state", state=QuoteState(rows.quote["state"]), due=QuoteState(should))


def _job_faults(connection: Connection, rows: _Rows) -> Iterator[Message]:
    if rows.job is None:
        return
    found = state_of(connection, rows.job)
    if rows.job["state"] != found.state:
        yield message("keeping.job_state", state=JobState(rows.job["state"]), due=JobState(found.state))
    if rows.job["moved_on_at"] != found.moved_on_at:
        yield message("keeping.ledger_moved_on")


def _client_faults(client: Client) -> Iterator[Message]:
    salt, data = client["salt"], client["data"]
    if salt is not None and client_digest(salt, data) != client["sha256"]:
        yield message("keeping.client_altered")


def _acceptance_faults(rows: _Rows) -> Iterator[Message]:
    for row in rows.acceptances:
        salt, subject = row["salt"], str(row["owner_id"])
        if salt is not None and client_digest(salt, row["data"]) != row["sha256"]:
            yield message("keeping.acceptor_altered", subject=subject)
        if row["erased_at"] != rows.client["erased_at"]:
            yield message("keeping.acceptor_not_erased", subject=subject)
    whose = {row["owner_id"]: row["said_at"] for row in rows.acceptances}
    if rows.quote["accepted_at"] != whose.get(rows.quote["id"]):
        yield message("keeping.acceptance_time")


def _certificate_faults(rows: _Rows) -> Iterator[Message]:
    chain = {seal["position"]: seal for seal in rows.seals}
    before = {
        seal["subject"]: chain[seal["position"] - 1]["chain_sha256"]
        for seal in rows.seals
        if seal["kind"] == "certificate" and seal["position"] - 1 in chain
    }
    for row in rows.certificates:
        content = bytes(row["record"])
        if hashlib.sha256(content).hexdigest() != row["record_sha256"]:
            yield message("keeping.record_altered", number=row["number"])
            continue
        record = orjson.loads(parted(content)[0])
        if record["outcome"] != row["outcome"]:
            yield message("keeping.outcome_altered", number=row["number"])
        if record["client_sha256"] != rows.client["sha256"]:
            yield message("keeping.another_client", number=row["number"])
        if record["ledger_sha256"] != before.get(str(row["id"])):
            yield message("keeping.another_ledger", number=row["number"])


def _place_faults(photo: Photo, client: Client) -> Iterator[Message]:
    salt, latitude, longitude = client["salt"], photo["latitude"], photo["longitude"]
    if salt is None:
        return
    expected = None
    if latitude is not None and longitude is not None:
        expected = client_digest(salt, place_of(str(photo["id"]), latitude, longitude))
    if photo["place_sha256"] != expected:
        yield message("keeping.place_altered", photo=str(photo["id"]))
