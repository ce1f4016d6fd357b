"""Photos of patches and details: taken in, listed, and given out as they were stored."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import Conflict, Erased, Fault, InvalidInput, NotKnown
from service.store import clients, photos
from service.store.contents import PHOTO, Placed, content_of, place
from service.store.row_types import Job, Photo, PhotoHead, some
from service.usecases.base.clock import is_beyond
from service.usecases.base.context import Context, loads, reads, refuse_repeated, writes
from service.usecases.base.seals import of_rows, seal
from service.usecases.work import jobs
from service.usecases.work.clients import digest, place_of
from service.usecases.work.images import Picture, made_anew
from service.usecases.work.parts import parts_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """A photo as it came: the id that it was given where it was taken, and what it is of, if it is of a part.

    The id of a photo that an entry names is in that entry, which may come before or after it.
    """

    id: UUID
    content: bytes
    media_type: str
    cavity: str | None = None
    caption: str | None = None
    taken_at: datetime | None = None
    latitude: float | None = None
    longitude: float | None = None

    @property
    def sha256(self) -> str:
        """The digest of the bytes as they were sent."""
        return hashlib.sha256(self.content).hexdigest()


def put(context: Context, job_id: UUID, sent: Sent) -> Mapping[str, Any]:
    """Keep a photo, made anew; the same once more is the same photo, other bytes under its id a Conflict.

    Raises WrongKind or InvalidInput for what is no sound picture, and then nothing is kept.
    """
    known: Mapping[str, Any] | None = _known(context, job_id, sent)
    if known:
        return known
    # Decoding takes its time: it is done before the transaction holds up others.
    picture = made_anew(sent.content, sent.media_type, most_pixels=context.settings.photo_limit_pixels)
    picture = _with_what_travelled_beside(picture, sent)
    placed = place(
        context.database,
        firm_id=context.firm_id,
        owner_id=job_id,
        name=f"{PHOTO}/{sent.id}",
        content=picture.content,
    )
    kept: Mapping[str, Any] = _put(context, job_id, sent, picture, placed)
    return kept


def _with_what_travelled_beside(picture: Picture, sent: Sent) -> Picture:
    """Time and place as they were sent, where the file itself does not say them."""
    if picture.taken_at is None and sent.taken_at is not None:
        picture = replace(picture, taken_at=sent.taken_at.astimezone(UTC))
    if picture.latitude is None and sent.latitude is not None:
        picture = replace(picture, latitude=sent.latitude, longitude=sent.longitude)
    return picture


@reads
def _known(connection: Connection, context: Context, job_id: UUID, sent: Sent) -> Mapping[str, Any] | None:
    job = jobs.found(connection, context, job_id)
    refuse_repeated(connection, context)
    kept = photos.find(connection, job_id=job_id, photo_id=sent.id)
    if kept is None:
        # Before anything is put anywhere; it is looked at once more where it is decided.
        _must_be_taken(connection, context, job, sent)
    return _same(kept, sent) if kept else None


@writes
def _put(
    connection: Connection, context: Context, job_id: UUID, sent: Sent, picture: Picture, placed: Placed
) -> Mapping[str, Any]:
    job = jobs.found(connection, context, job_id, lock=True)
    jobs.must_be_open(job)
    if photos.find(connection, job_id=job_id, photo_id=sent.id) is None:
        _must_be_taken(connection, context, job, sent)
        _keep(connection, context, job, sent, picture, placed)
    kept = photos.find(connection, job_id=job_id, photo_id=sent.id)
    assert kept is not None
    return _same(kept, sent)


def _same(kept: PhotoHead, sent: Sent) -> dict[str, Any]:
    if (kept["sent_sha256"], kept["cavity"], kept["caption"]) != (sent.sha256, sent.cavity, sent.caption):
        raise Conflict(message("photos.another"))
    return _answer(kept)


def _taken_at(picture: Picture, now: datetime) -> datetime | None:
    """When the camera says that it was taken; not known where its clock ran ahead."""
    taken = picture.taken_at
    return None if taken is None or is_beyond(taken, now) else taken


def _must_be_taken(connection: Connection, context: Context, job: Job, sent: Sent) -> None:
    jobs.must_be_open(job)
    most = context.settings.photo_limit
    if photos.count(connection, job["id"]) >= most:
        raise Conflict(message("photos.too_many", most=most))
    labels = {row["label"] for row in parts_of(connection, job["quote_id"])}
    if sent.cavity is not None and sent.cavity not in labels:
        raise InvalidInput(Fault("/cavity", message("photos.no_such_part", cavity=sent.cavity)))


def _keep(
    connection: Connection, context: Context, job: Job, sent: Sent, picture: Picture, placed: Placed
) -> None:
    assert context.caller is not None
    row = {
        "job_id": job["id"],
        "id": sent.id,
        "firm_id": job["firm_id"],
        "sent_sha256": sent.sha256,
        "cavity": sent.cavity,
        "caption": sent.caption,
        "width_px": picture.width_px,
        "height_px": picture.height_px,
        "taken_at": _taken_at(picture, context.now),
        "latitude": picture.latitude,
        "longitude": picture.longitude,
        "place_sha256": _place_digest(connection, job, sent.id, picture),
        "received_at": context.now,
        "key_id": context.caller.key_id,
        **placed,
    }
    photos.add(connection, row)
    seal(connection, job["quote_id"], of_rows("photo", [row]))


def _place_digest(connection: Connection, job: Job, photo_id: UUID, picture: Picture) -> str | None:
    """What is sealed in the stead of the place, which is the client's address in other words."""
    if picture.latitude is None or picture.longitude is None:
        return None
    salt = clients.of_quote(connection, job["quote_id"])["salt"]
    # What is erased takes no photos any more: its job is closed.
    assert salt is not None
    return digest(salt, place_of(str(photo_id), picture.latitude, picture.longitude))


@reads
def listed(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    """A job's photos in the order they were received."""
    jobs.found(connection, context, job_id)
    return {"photos": [_answer(row) for row in photos.of_job(connection, job_id)]}


def file(context: Context, job_id: UUID, photo_id: UUID) -> Mapping[str, Any]:
    """A photo's stored bytes; without them for who has them already."""
    kept = _one(context, job_id, photo_id)
    is_had = kept["sha256"] == context.has
    content = None if is_had else content_of(context.database, kept)
    return {"id": photo_id, "sha256": kept["sha256"], "content": content}


@loads
def _one(connection: Connection, context: Context, job_id: UUID, photo_id: UUID) -> Photo:
    jobs.found(connection, context, job_id)
    kept = photos.some_of(connection, job_id=job_id, ids=[photo_id])
    if not kept:
        raise NotKnown(message("photos.not_known"))
    if kept[0]["erased_at"]:
        raise Erased(message("photos.erased"))
    return kept[0]


def _answer(row: PhotoHead) -> dict[str, Any]:
    hidden = {"job_id", "firm_id", "key_id", "place_sha256", "sent_sha256", "object_key"}
    return some(row, (name for name in row if name not in hidden))
