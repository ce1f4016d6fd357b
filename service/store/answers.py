"""First answers to requests that carried an Idempotency-Key."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping, select

from service.store.tables import answers


def find(connection: Connection, *, key_id: UUID, idempotency_key: str) -> RowMapping | None:
    """What was answered the first time."""
    found = connection.execute(
        select(answers).where(answers.c.key_id == key_id, answers.c.idempotency_key == idempotency_key)
    )
    return found.mappings().one_or_none()


def add(connection: Connection, answer: Mapping[str, Any]) -> None:
    """Keep an answer; a twin that got here first makes this fail."""
    connection.execute(answers.insert().values(**answer))
