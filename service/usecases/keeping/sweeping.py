"""Sweeping: what was kept long enough goes.

Answers to Idempotency-Keys after their days; objects that were put and never named, because their transaction
was not committed, after a day: no request and no task is at it that long.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import islice
from uuid import UUID

from sqlalchemy import Engine

from service.settings import Settings
from service.store import answers, firms, keys
from service.store.contents import is_named, objects_of
from service.store.session import reading, writing

# A transaction deletes no more than this: others wait for it.
AT_ONCE = 500
UNNAMED_FOR = timedelta(days=1)


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


def sweep_objects(database: Engine, now: datetime) -> int:
    """Delete every object that no row has named for a day; returns how many: none without a store."""
    objects = objects_of(database)
    if objects is None:
        return 0
    deleted = 0
    for keys_at_once in _at_once(_old_keys(database, now)):
        with reading(database) as connection:
            unnamed = [key for key in keys_at_once if not is_named(connection, key)]
        for key in unnamed:
            objects.delete(key)
        deleted += len(unnamed)
    return deleted


def _old_keys(database: Engine, now: datetime) -> Iterator[str]:
    """Of the firms of this database alone: others may have theirs in the same bucket."""
    objects = objects_of(database)
    assert objects is not None
    with reading(database) as connection:
        firm_ids = [firm["id"] for firm in firms.every(connection)]
    for firm_id in firm_ids:
        yield from objects.under(f"{firm_id}/", before=now - UNNAMED_FOR)


def _at_once(keys_of_all: Iterator[str]) -> Iterator[list[str]]:
    while keys_at_once := list(islice(keys_of_all, AT_ONCE)):
        yield keys_at_once
