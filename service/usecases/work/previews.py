"""What a certificate would say: worked out in no transaction, shown to the signatory, stored nowhere.

Its tag names all that it was worked out from. A certificate is issued by the tag of the
preview that was seen, and only if nothing of that has changed.
"""

import hashlib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import rfc8785
from sqlalchemy import Connection

from service.documents.papers import certificate as document
from service.engine.ground.messages import message
from service.engine.plan.takeoff import ENGINE
from service.engine.site.awaited import AwaitedPhoto, awaited_photos
from service.engine.site.certifiable import Certifiable, certifiable
from service.errors import Conflict, Fault, InvalidInput
from service.store import certificates, concessions, entries, firms, photos, supplements
from service.store.contents import content_of
from service.store.row_types import CertificateHead, Firm, Job, Photo, PhotoHead
from service.usecases.base.context import Context, loads, refuse_repeated
from service.usecases.base.json import to_json
from service.usecases.work import jobs, rendering
from service.usecases.work.assessments import Assessed, Evidence, assessed, evidence_of
from service.usecases.work.parts import agreed_labels
from service.usecases.work.quote_papers import facts_of
from service.usecases.work.records import FORMAT, Record, body_of, in_full, with_client
from service.usecases.work.states import certified_parts

MOST_SHOWN = 1_000
"""Parts of a preview as PDF: made in some forty seconds of a processor, while somebody waits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """All rows of a job that a certificate is worked out from; `rests_on` names them."""

    job: Job
    firm: Firm
    facts: Mapping[str, Any]
    evidence: Evidence
    photos: Sequence[PhotoHead]
    in_force: Sequence[CertificateHead]
    rests_on: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """A certificate before it is issued.

    `supersedes` are those in force that it would take the place of; `awaited` photos would not be in it.
    """

    sight: Sight
    found: Certifiable
    record: Record
    supersedes: tuple[CertificateHead, ...]
    awaited: tuple[AwaitedPhoto, ...]
    tag: str


def of_job(context: Context, job_id: UUID, parts: Sequence[str] | None) -> Preview:
    """The preview of a certificate for these parts, or for all; raises Conflict where none can be issued."""
    return _worked_out(_sight(context, job_id), parts)


def answer(context: Context, job_id: UUID, parts: Sequence[str] | None) -> Mapping[str, Any]:
    """A preview as it is answered."""
    preview = of_job(context, job_id, parts)
    return {
        "tag": preview.tag,
        "signed_by": signatory(context),
        "ready": not preview.found.unmet,
        "completes": preview.found.completes,
        "unmet": to_json(preview.found.unmet),
        "supersedes": [row["number"] for row in preview.supersedes],
        "photos_awaited": to_json(preview.awaited),
        "record": preview.record,
    }


def pdf(context: Context, job_id: UUID, parts: Sequence[str] | None) -> Mapping[str, Any]:
    """A preview as PDF, marked as one on every page; raises InvalidInput for more than MOST_SHOWN parts."""
    _check_length(context, job_id, parts)
    preview = of_job(context, job_id, parts)
    facts = with_client(preview.record, preview.sight.evidence.plan.quote, preview.sight.photos)
    issue = to_json({"number": "", "issued_at": context.now, "signed_by": signatory(context)})
    issue |= {"supersedes": [row["number"] for row in preview.supersedes], "verify_url": ""}
    issue["photos_awaited"] = to_json(preview.awaited)
    pictures = taken_pictures(context, job_id, facts["photos"])
    content = rendering.shown(context, lambda: document.preview(in_full(facts) | issue, pictures))
    return {"kind": "preview", "sha256": f"{preview.tag}-pdf", "content": content}


@loads
def _check_length(
    connection: Connection, context: Context, job_id: UUID, parts: Sequence[str] | None
) -> None:
    """Refuse at once what would only be given up after LONGEST_SHOWN_S."""
    job = jobs.found(connection, context, job_id)
    there = len(agreed_labels(connection, job["quote_id"]) if parts is None else parts)
    if there > MOST_SHOWN:
        said = message("certificates.too_many_to_show", most=MOST_SHOWN, there=there)
        raise InvalidInput(Fault("/cavities", said))


def signatory(context: Context) -> str:
    """Who signs by the caller's key: the name that the office gave the key."""
    assert context.caller is not None
    return context.caller.label


@loads
def _sight(connection: Connection, context: Context, job_id: UUID) -> Sight:
    job = jobs.found(connection, context, job_id)
    # First what the rest is named by: what comes in between is then not what was named.
    named = rests_on(connection, job)
    evidence = evidence_of(connection, job)
    sight = Sight(
        job=job,
        firm=firms.by_id(connection, job["firm_id"]),
        facts=facts_of(connection, evidence.plan.quote),
        evidence=evidence,
        photos=photos.of_job(connection, job_id),
        in_force=certificates.in_force(connection, job_id),
        rests_on=named,
    )
    # Last: what a twin has issued in between must not pass for a change by somebody else.
    refuse_repeated(connection, context)
    jobs.must_be_open(job)
    return sight


def rests_on(connection: Connection, job: Job) -> Mapping[str, Any]:
    """Names of everything that a certificate is worked out from: while they are the same, so is it.

    Entries, concessions, photos, certificates and the steps of supplements are only ever added to.
    """
    job_id = job["id"]
    quote = jobs.quote_of(connection, job)
    named: Mapping[str, Any] = to_json(
        {
            "job": job_id,
            "engine": ENGINE,
            "format": FORMAT,
            "firm": firms.by_id(connection, job["firm_id"])["data"],
            "client": [quote["client_sha256"], quote["client_erased_at"]],
            "entries": entries.last_position(connection, job_id),
            "concessions": [row["id"] for row in concessions.of_job(connection, job_id)],
            "photos": [row["id"] for row in photos.of_job(connection, job_id)],
            "certificates": [row["id"] for row in certificates.in_force(connection, job_id)],
            "supplements": [row["id"] for row in supplements.steps_of(connection, [job_id])],
        }
    )
    return named


def _worked_out(sight: Sight, wanted: Sequence[str] | None) -> Preview:
    found = assessed(sight.evidence)
    parts = _parts(sight, wanted)
    superseded = _superseded(sight.in_force, parts)
    staying = [row for row in sight.in_force if row not in superseded]
    what = certifiable(
        planned=sight.evidence.plan.cavities,
        assessment=found.assessment,
        concessions=sight.evidence.concessions,
        parts=parts,
        elsewhere=frozenset().union(*map(certified_parts, staying)),
    )
    return Preview(
        sight=sight,
        found=what,
        record=_record(sight, found, what),
        supersedes=superseded,
        awaited=tuple(
            awaited_photos(
                ledger=found.ledger, arrived={str(photo["id"]) for photo in sight.photos}, parts=parts
            )
        ),
        tag=_tag(sight.rests_on, parts),
    )


def _record(sight: Sight, found: Assessed, what: Certifiable) -> Record:
    return body_of(
        job=sight.job, firm=sight.firm, facts=sight.facts, taken=sight.photos, assessed=found, found=what
    )


def _parts(sight: Sight, wanted: Sequence[str] | None) -> frozenset[str]:
    planned = sight.evidence.plan.cavities
    if wanted is None:
        # What nobody accepted is named by who wants it, and then stands in the way.
        return frozenset(each.cavity.label for each in planned if each.agreed)
    labels = [each.cavity.label for each in planned]
    unknown = [place for place, label in enumerate(wanted) if label not in labels]
    if unknown:
        missing = message("certificates.no_such_part")
        raise InvalidInput(*(Fault(f"/cavities/{place}", missing) for place in unknown))
    return frozenset(wanted)


def _superseded(in_force: Sequence[CertificateHead], parts: Collection[str]) -> tuple[CertificateHead, ...]:
    """The certificates in force all of whose parts are among these; raises Conflict where only some are."""
    overlapping = tuple(row for row in in_force if certified_parts(row) & set(parts))
    for row in overlapping:
        if left := certified_parts(row) - set(parts):
            raise Conflict(message("certificates.overlaps", number=row["number"], parts=tuple(sorted(left))))
    return overlapping


def _tag(rests_on: Mapping[str, Any], parts: Collection[str]) -> str:
    named = {**rests_on, "parts": sorted(parts)}
    return hashlib.sha256(rfc8785.dumps(named)).hexdigest()


def taken_pictures(context: Context, job_id: UUID, named: Sequence[Mapping[str, Any]]) -> dict[str, bytes]:
    """The content of a job's photos that a record names, by its digest."""
    taken = _photos(context, job_id, [UUID(photo["id"]) for photo in named])
    found = {photo["sha256"]: content_of(context.database, photo) for photo in taken}
    return {sha256: content for sha256, content in found.items() if content is not None}


@loads
def _photos(connection: Connection, context: Context, job_id: UUID, ids: Sequence[UUID]) -> list[Photo]:
    jobs.found(connection, context, job_id)
    return photos.some_of(connection, job_id=job_id, ids=ids)
