"""The record of a certificate: everything that it says, as plain JSON."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, RowMapping

from service.engine.site.entries import AirTest
from service.store import entries, photos
from service.usecases.base.json import to_json
from service.usecases.work.assessments import Assessed, concession_of
from service.usecases.work.clients import shown
from service.usecases.work.jobs import quote_of
from service.usecases.work.quotes import facts_of

FORMAT = "baywright-certificate-1"


def record_of(
    connection: Connection,
    *,
    job: RowMapping,
    firm: RowMapping,
    found: Assessed,
    number: str,
    issued_at: datetime,
    signed_by: str,
    ledger_sha256: str,
    supersedes: str | None,
    verify_url: str,
) -> dict[str, Any]:
    """Everything that the certificate says, with digests in the place of what says who the client is."""
    quote = found.plan.quote
    facts = facts_of(connection, quote)
    takeoff, surveyed = facts.pop("takeoff"), facts.pop("cavities")
    facts |= {"site": quote["body"]["site"], "client_sha256": quote["client_sha256"]}
    del facts["client"], facts["client_erased_at"]
    corrections = sum(row["kind"] == "correction" for row in entries.of_job(connection, job["id"]))
    return {
        **facts,
        "format": FORMAT,
        "number": number,
        "quote_number": facts["number"],
        "job_number": job["number"],
        "issued_at": issued_at,
        "signed_by": signed_by,
        "firm": firm["data"],
        "engine": takeoff["engine"],
        "parts": [
            {"cavity": cavity, "planned": planned, "found": to_json(finding)}
            for cavity, planned, finding in zip(
                surveyed, takeoff["cavities"], found.assessment.cavities, strict=True
            )
        ],
        "holes": to_json(found.assessment.holes),
        "hold_points": to_json(found.assessment.hold_points),
        "concessions": [concession_of(row) for row in found.concessions],
        "air_tests": [to_json(test) for test in found.ledger.of(AirTest)],
        "stock": to_json(found.assessment.stock),
        "rules": to_json(found.assessment.rules),
        "photos": _photos(connection, job),
        "corrections": corrections,
        "ledger_sha256": ledger_sha256,
        "supersedes": supersedes,
        "verify_url": verify_url,
    }


def printed(connection: Connection, job: RowMapping, record: Mapping[str, Any]) -> dict[str, Any]:
    """The record with what its file shows besides: client, address, and where the photos were taken."""
    places = {
        str(row["id"]): {"latitude": row["latitude"], "longitude": row["longitude"]}
        for row in photos.of_job(connection, job["id"])
    }
    return {
        **record,
        **shown(quote_of(connection, job)),
        "photos": [{**photo, **places[photo["id"]]} for photo in record["photos"]],
    }


def _photos(connection: Connection, job: RowMapping) -> list[dict[str, Any]]:
    """The job's photos: first those that patches name, by their tags; then those of details, as received.

    An entry may name a photo that never came: the record has what is there.
    """
    tags: dict[str, set[str]] = {}
    for entry in entries.of_job(connection, job["id"]):
        for photo_id in entry["data"].get("photos", ()):
            tags.setdefault(photo_id, set()).update(filter(None, [entry["data"].get("tag")]))
    names = ("sha256", "cavity", "caption", "width_px", "height_px", "taken_at", "place_sha256")
    rows = [
        {
            "id": str(row["id"]),
            **{name: row[name] for name in names},
            "tags": sorted(tags.get(str(row["id"]), ())),
        }
        for row in photos.of_job(connection, job["id"])
    ]
    return sorted(rows, key=lambda photo: (not photo["tags"], photo["tags"]))
