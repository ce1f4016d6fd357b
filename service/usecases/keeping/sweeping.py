"""Sweeping: answers to Idempotency-Keys are deleted when they have been kept long enough."""

from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy import Engine

from service.settings import Settings
from service.store import answers, keys
from service.store.session import reading, writing

# A transaction deletes no more than this: others wait for it.
AT_ONCE = 500


def sweep(database: Engine, settings: Settings, now: datetime) -> int:
    """Delete every expired answer; returns how many."""
    expired = now - timedelta(days=settings.idempotency_days)
    with reading(database) as connection:
        key_ids = [key["id"] for key in keys.every(connection)]
    return sum(_of_key(database, key_id, expired) for key_id in key_ids)


def _of_key(database: Engine, key_id: UUID, expired: datetime) -> int:
    total, deleted = 0, AT_ONCE
    while deleted == AT_ONCE:
        with writing(database) as connection:
            deleted = answers.sweep(connection, key_id=key_id, expired=expired, most=AT_ONCE)
        total += deleted
    return total
