"""Photos of a job, only ever added to; the same photo is one row of the job however often it comes."""

from collections.abc import Collection, Iterator, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping, Select, func, select

from service.store.tables import photos


def add(connection: Connection, photo: Mapping[str, Any]) -> None:
    """Add a photo."""
    connection.execute(photos.insert().values(**photo))


def _without_content() -> Select[Any]:
    kept = [column for column in photos.c if column is not photos.c.content]
    return select(*kept, func.length(photos.c.content).label("size_bytes"))


def of_job(connection: Connection, job_id: UUID) -> list[RowMapping]:
    """A job's photos in the order they were received, without their content."""
    statement = _without_content().where(photos.c.job_id == job_id)
    return list(connection.execute(statement.order_by(photos.c.received_at, photos.c.sha256)).mappings())


def find(connection: Connection, *, job_id: UUID, sha256: str) -> RowMapping | None:
    """A photo of a job, without its content."""
    statement = _without_content().where(photos.c.job_id == job_id, photos.c.sha256 == sha256)
    return connection.execute(statement).mappings().one_or_none()


def count(connection: Connection, job_id: UUID) -> int:
    """How many photos a job has."""
    return connection.execute(select(func.count()).where(photos.c.job_id == job_id)).scalar_one()


def contents(connection: Connection, *, firm_id: UUID, digests: Collection[str]) -> dict[str, bytes | None]:
    """The content of those of a firm's photos that have these digests; None where it was erased."""
    statement = select(photos.c.sha256, photos.c.content)
    # What was erased on one job may still be there on another, and then comes last here.
    found = connection.execute(
        statement.where(photos.c.firm_id == firm_id, photos.c.sha256.in_(digests)).order_by(
            photos.c.content.is_not(None)
        )
    )
    return {sha256: content and bytes(content) for sha256, content in found}


def erase(connection: Connection, job_id: UUID, now: datetime) -> None:
    """Erase the content of a job's photos, and where they were taken; their digests stay."""
    connection.execute(
        photos.update()
        .where(photos.c.job_id == job_id, photos.c.erased_at.is_(None))
        .values(content=None, latitude=None, longitude=None, erased_at=now)
    )


def whole(connection: Connection, job_id: UUID) -> Iterator[RowMapping]:
    """A job's photos with their content, one after the other: there may be more than memory holds."""
    statement = select(photos).where(photos.c.job_id == job_id).order_by(photos.c.sha256)
    yield from connection.execute(statement.execution_options(yield_per=1)).mappings()
