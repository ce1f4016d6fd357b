"""Concessions: conditions that the office let stand, with a reason."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, select

from service.store.row_types import Concession, every
from service.store.tables import concessions


def add(connection: Connection, concession: Mapping[str, Any]) -> None:
    """Add a concession."""
    connection.execute(concessions.insert().values(**concession))


def of_job(connection: Connection, job_id: UUID) -> list[Concession]:
    """A job's concessions, oldest first."""
    rows = connection.execute(
        select(concessions).where(concessions.c.job_id == job_id).order_by(concessions.c.id)
    )
    return every(Concession, rows)
