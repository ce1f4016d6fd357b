"""Photos of a job, only ever added to; each has an id that was made where it was taken."""

from collections.abc import Collection, Iterator, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Select, case, func, select

from service.store.row_types import Photo, PhotoHead, every, one, stream
from service.store.tables import photos


def add(connection: Connection, photo: Mapping[str, Any]) -> None:
    """Add a photo."""
    connection.execute(photos.insert().values(**photo))


def _without_content() -> Select[Any]:
    kept = [column for column in photos.c if column.name not in ("content", "size_bytes")]
    return select(*kept, case((photos.c.erased_at.is_(None), photos.c.size_bytes)).label("size_bytes"))


def of_job(connection: Connection, job_id: UUID) -> list[PhotoHead]:
    """A job's photos in the order they were received, without their content."""
    statement = _without_content().where(photos.c.job_id == job_id)
    return every(PhotoHead, connection.execute(statement.order_by(photos.c.received_at, photos.c.id)))


def find(connection: Connection, *, job_id: UUID, photo_id: UUID) -> PhotoHead | None:
    """A photo of a job, without its content."""
    statement = _without_content().where(photos.c.job_id == job_id, photos.c.id == photo_id)
    return one(PhotoHead, connection.execute(statement))


def count(connection: Connection, job_id: UUID) -> int:
    """How many photos a job has."""
    return connection.execute(select(func.count()).where(photos.c.job_id == job_id)).scalar_one()


def some_of(connection: Connection, *, job_id: UUID, ids: Collection[UUID]) -> list[Photo]:
    """Those of a job's photos that have these ids, with the content that lies in their rows."""
    mine = (photos.c.job_id == job_id, photos.c.id.in_(ids))
    return every(Photo, connection.execute(select(photos).where(*mine)))


def erase(connection: Connection, job_id: UUID, now: datetime) -> None:
    """Erase the content of a job's photos, and where they were taken; their digests stay."""
    connection.execute(
        photos.update()
        .where(photos.c.job_id == job_id, photos.c.erased_at.is_(None))
        .values(content=None, object_key=None, latitude=None, longitude=None, erased_at=now)
    )


def whole(connection: Connection, job_id: UUID) -> Iterator[Photo]:
    """A job's photos with their content, one after the other: there may be more than memory holds."""
    statement = select(photos).where(photos.c.job_id == job_id).order_by(photos.c.id)
    yield from stream(Photo, connection.execute(statement.execution_options(yield_per=1)))
