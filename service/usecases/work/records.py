"""The record of a certificate: everything that it says, as plain JSON."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from typing import Any

import orjson
from sqlalchemy import Connection

from service.engine.site.certifiable import Certifiable
from service.engine.site.entries import AirTest, Patch
from service.engine.site.entry import Entry
from service.engine.site.ledger import Ledger
from service.engine.site.materials import lots_in
from service.store import photos
from service.store.row_types import Firm, Job, PhotoHead, Quote, SaidEntry, some
from service.store.types import Deflated
from service.usecases.base.json import to_json
from service.usecases.work.assessments import Assessed
from service.usecases.work.clients import shown
from service.usecases.work.jobs import quote_of
from service.usecases.work.said import parts_named

FORMAT = "baywright-certificate-1"
ASSESSED = ("holes", "as_found", "hold_points", "stock", "whereabouts", "rules")

PARTS_OPEN = b',"parts":['
PARTS_BEGIN, PARTS_END = PARTS_OPEN + b'{"as_found":', b'],"photos":['

Record = dict[str, Any]


def body_of(
    *,
    job: Job,
    firm: Firm,
    facts: Mapping[str, Any],
    taken: Sequence[PhotoHead],
    assessed: Assessed,
    found: Certifiable,
) -> Record:
    """All that a certificate says of the work, with digests in the place of what says who the client is.

    Of what it says it is plain JSON, its parts deflated: there may be thousands.

    `facts` are the quote's, `taken` the job's photos. Number, time and signature come when it is issued.
    """
    quote, takeoff = assessed.evidence.plan.quote, facts["takeoff"]
    parts = frozenset(each.label for each in found.assessment.cavities)
    kept = ("reference", "offered_at", "valid_until", "market", "language", "material", "practice")
    said = {
        **{name: facts[name] for name in kept},
        "format": FORMAT,
        "site": quote["body"]["site"],
        "client_sha256": quote["client_sha256"],
        "quote_number": facts["number"],
        "job_number": job["number"],
        "firm": firm["data"],
        "engine": takeoff["engine"],
        "outcome": found.outcome,
        "concessions": found.concessions,
        "supplements": _supplements(facts, found),
        **{name: getattr(found.assessment, name) for name in ASSESSED},
        **_recorded(assessed, parts),
        "photos": _photos(taken, assessed, parts),
    }
    return {**to_json(said), "parts": list(_parts(facts, found))}


def _recorded(assessed: Assessed, parts: Collection[str]) -> Record:
    """What the ledger itself says: of these parts when and of what they were filled, the rest of all."""
    ledger = assessed.ledger
    blown = [each for each in ledger.emptyings if each.cavity in parts]
    offered = assessed.evidence.plan.material.code
    return {
        "air_tests": [replace(test, happened_at=test.told_at) for test in ledger.of(AirTest)],
        "filled_from": min(blown, key=_at).told_at if blown else None,
        "filled_until": max(blown, key=_at).told_at if blown else None,
        "lots": lots_in(parts=parts, ledger=ledger, offered=offered),
        "doubtful_clocks": sum(each.clock_doubtful for each in ledger.entries),
        "corrections": sum(row["kind"] == "correction" for row in assessed.evidence.entries),
    }


def _at(entry: Entry) -> datetime:
    return entry.at


def _supplements(facts: Mapping[str, Any], found: Certifiable) -> list[dict[str, Any]]:
    """The supplements that brought parts of this certificate, each with those, and the parts left out."""
    labels = {finding.label for finding in found.assessment.cavities}
    mine = [
        {**each, "parts": [label for label in each["parts"] if label in labels]}
        for each in facts["supplements"]
        if each["agreed"]
    ]
    return [each for each in mine if each["parts"] or each["dropped"]]


def _parts(facts: Mapping[str, Any], found: Certifiable) -> Iterator[Deflated]:
    """Each part that was filled and is certified: as surveyed, as planned, as found on site and filled."""
    findings = {finding.label: finding for finding in found.assessment.cavities}
    as_found = {part.cavity: part for part in found.assessment.as_found}
    for cavity, planned in zip(facts["cavities"], facts["takeoff"]["cavities"], strict=True):
        if cavity.label in findings:
            said = {"as_found": as_found.get(cavity.label), "found": findings[cavity.label]}
            yield Deflated.of(to_json({"cavity": cavity, "planned": planned, **said}))


def parted(canonical: bytes) -> tuple[bytes, bytes]:
    """A canonical record without its parts, and the elements of these, as text: they may be thousands.

    Where they cannot be told apart it stays whole, and has no parts beside. `"parts":[{"as_found":` stands in
    a record once, in no text, for a quote in it would be escaped; after its parts come the photos.
    """
    begins = canonical.find(PARTS_BEGIN)
    ends = canonical.find(PARTS_END, begins)
    while -1 not in (begins, ends):
        apart = canonical[:begins] + canonical[ends + 1 :]
        with suppress(orjson.JSONDecodeError):
            # Cut off anywhere else what is left would not be closed.
            orjson.loads(apart)
            return apart, canonical[begins + len(PARTS_OPEN) : ends]
        ends = canonical.find(PARTS_END, ends + 1)
    return canonical, b""


def in_full(record: Mapping[str, Any]) -> Record:
    """A record with its parts as they are printed, nothing of it deflated any more."""
    return {**record, "parts": [part.plain for part in record["parts"]]}


def printed(connection: Connection, job: Job, record: Mapping[str, Any]) -> Record:
    """The record with what its file shows besides: client, address, and where the photos were taken."""
    return with_client(record, quote_of(connection, job), photos.of_job(connection, job["id"]))


def with_client(record: Mapping[str, Any], quote: Quote, taken: Sequence[PhotoHead]) -> Record:
    """The record with the client's data from the quote, and the places of the photos."""
    places = {str(row["id"]): {"latitude": row["latitude"], "longitude": row["longitude"]} for row in taken}
    photographed = [{**photo, **places[photo["id"]]} for photo in record["photos"]]
    return {**record, **to_json({**shown(quote), "photos": photographed})}


def _photos(taken: Sequence[PhotoHead], assessed: Assessed, parts: Collection[str]) -> list[dict[str, Any]]:
    """The photos of these parts and of none: first those of patches that stand, by the tags of their holes.

    An entry may name a photo that never came: the record has what is there. What is of one part alone, by
    itself or by its entry, is said to show it.
    """
    tags = _patched(assessed.ledger)
    shown_parts = _shown_parts(taken, assessed.evidence.entries)
    names = ("sha256", "caption", "width_px", "height_px", "taken_at", "place_sha256")
    rows = [
        {
            **some(row, names),
            "id": photo_id,
            "cavity": next(iter(of)) if len(of) == 1 else None,
            "tags": sorted(tags.get(photo_id, ())),
        }
        for row in taken
        if not (of := shown_parts[photo_id := str(row["id"])]) or of & set(parts)
    ]
    return sorted(rows, key=lambda photo: (not photo["tags"], photo["tags"]))


def _patched(ledger: Ledger) -> Mapping[str, set[str]]:
    """What the holes are called over which each photo shows a patch, as it stands."""
    tags: dict[str, set[str]] = {}
    for patch in ledger.of(Patch):
        for photo_id in patch.photos:
            tags.setdefault(photo_id, set()).add(patch.tag or str(patch.number))
    return tags


def _shown_parts(taken: Sequence[PhotoHead], ledger: Sequence[SaidEntry]) -> Mapping[str, set[str]]:
    """The parts that each photo is of: by itself or by the entries that stand, else by those corrected."""
    parts = {str(row["id"]): {row["cavity"]} if row["cavity"] else set() for row in taken}
    corrected = {entry["corrects"] for entry in ledger}
    standing = _named([entry for entry in ledger if entry["id"] not in corrected])
    for photo_id, labels in (
        _named([entry for entry in ledger if entry["id"] in corrected]) | standing
    ).items():
        parts.setdefault(photo_id, set()).update(labels)
    return parts


def _named(ledger: Sequence[SaidEntry]) -> dict[str, set[str]]:
    """The parts of the entries that name each photo, in what they say or what takes the place of another."""
    named: dict[str, set[str]] = {}
    for data in (entry["data"] for entry in ledger):
        for said in (data, data.get("replacement") or {}):
            for photo_id in said.get("photos") or ():
                named.setdefault(photo_id, set()).update(parts_named(data))
    return named
