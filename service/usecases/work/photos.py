"""Photos of patches and details: taken in, listed, and given out as they were stored."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping

from service.errors import Conflict, Erased, NotKnown
from service.store import clients, photos
from service.usecases.base.context import Context, reads, writes
from service.usecases.base.seals import of_rows, seal
from service.usecases.work import jobs
from service.usecases.work.clients import digest, place_of
from service.usecases.work.images import Picture, made_anew


def add(context: Context, job_id: UUID, content: bytes, media_type: str) -> Mapping[str, Any]:
    """Keep a photo, made anew; raises WrongKind or InvalidInput, and then nothing is kept."""
    # Decoding takes its time: it is done before the transaction holds up others.
    picture = made_anew(content, media_type, most_pixels=context.settings.photo_limit_pixels)
    return _add(context, job_id, picture)


@writes
def _add(connection: Connection, context: Context, job_id: UUID, picture: Picture) -> Mapping[str, Any]:
    job = jobs.found(connection, context, job_id, lock=True)
    if job["state"] == "closed":
        raise Conflict("The job is closed: nothing can be recorded any more.")
    if photos.find(connection, job_id=job_id, sha256=picture.sha256) is None:
        _keep(connection, context, job, picture)
    kept = photos.find(connection, job_id=job_id, sha256=picture.sha256)
    assert kept is not None
    return _answer(kept)


def _keep(connection: Connection, context: Context, job: RowMapping, picture: Picture) -> None:
    most = context.settings.photo_limit
    if photos.count(connection, job["id"]) >= most:
        raise Conflict(f"The job has {most} photos already, and may have no more.")
    assert context.caller is not None
    row = {
        "job_id": job["id"],
        "sha256": picture.sha256,
        "firm_id": job["firm_id"],
        "content": picture.content,
        "width_px": picture.width_px,
        "height_px": picture.height_px,
        "taken_at": picture.taken_at,
        "latitude": picture.latitude,
        "longitude": picture.longitude,
        "place_sha256": _place_digest(connection, job, picture),
        "received_at": context.now,
        "key_id": context.caller.key_id,
    }
    photos.add(connection, row)
    seal(connection, job["quote_id"], of_rows("photo", [row]))


def _place_digest(connection: Connection, job: RowMapping, picture: Picture) -> str | None:
    """What is sealed in the stead of the place, which is the client's address in other words."""
    if picture.latitude is None:
        return None
    client = clients.of_quote(connection, job["quote_id"])
    return digest(client["salt"], place_of(picture.sha256, picture.latitude, picture.longitude))


@reads
def listed(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    """A job's photos in the order they were received."""
    jobs.found(connection, context, job_id)
    return {"photos": [_answer(row) for row in photos.of_job(connection, job_id)]}


@reads
def file(connection: Connection, context: Context, sha256: str) -> Mapping[str, Any]:
    """A photo's stored bytes."""
    found = photos.contents(connection, firm_id=context.firm_id, digests=[sha256])
    if sha256 not in found:
        raise NotKnown("There is no such photo.")
    if found[sha256] is None:
        raise Erased("The photo was erased with the client's data.")
    return {"sha256": sha256, "content": found[sha256]}


def _answer(row: RowMapping) -> dict[str, Any]:
    return {name: row[name] for name in row if name not in ("job_id", "firm_id", "key_id", "place_sha256")}
