"""Deviations: conditions that the office let stand, with a reason."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping, select

from service.store.tables import deviations


def add(connection: Connection, deviation: Mapping[str, Any]) -> None:
    """Add a deviation."""
    connection.execute(deviations.insert().values(**deviation))


def of_job(connection: Connection, job_id: UUID) -> list[RowMapping]:
    """A job's deviations, oldest first."""
    rows = connection.execute(
        select(deviations).where(deviations.c.job_id == job_id).order_by(deviations.c.id)
    )
    return list(rows.mappings())
