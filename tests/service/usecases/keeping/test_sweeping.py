"""Sweeping away the answers that have been kept long enough."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from flask import Flask
from sqlalchemy import Engine, func, select, update

from service.store.session import reading, writing
from service.store.tables import answers
from service.usecases.keeping import sweeping
from tests.api import Api, small_building
from tests.kept import Kept


def test_expired_answers_are_swept_and_no_others(
    app: Flask, api: Api, database: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings, now = app.extensions["settings"], datetime.now(UTC)
    kept = [str(uuid4()) for _ in range(7)]
    for number, key in enumerate(kept):
        role = "sales" if number % 2 else "office"
        assert (
            api.send("POST", "/v1/quotes", small_building(), role=role, Idempotency_Key=key).status_code
            == 201
        )
    with writing(database) as connection:
        expired = update(answers).where(answers.c.idempotency_key.in_(kept[:5]))
        connection.execute(expired.values(created_at=now - timedelta(days=30, seconds=1)))
    monkeypatch.setattr(sweeping, "AT_ONCE", 2)
    assert sweeping.sweep(database, settings, now) == 5
    assert sweeping.sweep(database, settings, now) == 0
    with reading(database) as connection:
        assert connection.execute(select(func.count()).select_from(answers)).scalar_one() == 2


def test_objects_that_nothing_names_go_after_a_day_and_no_others(kept: Kept) -> None:
    """Put, and their transaction never came: here by hand. What others keep in the bucket is left alone."""
    now, named = datetime.now(UTC), kept.store.held()
    own = next(key for key in named if kept.job["id"] in key)
    firm = own.partition("/")[0]
    objects = kept.store.opened()
    unnamed = [f"{own}2", f"{firm}/{uuid4()}/quote/none.x", f"{firm}/{uuid4()}/photo/{uuid4()}/x.y"]
    foreign = [f"{uuid4()}/{uuid4()}/quote/x", "notes.txt", f"{firm}/read.me"]
    for key in (*unnamed, *foreign):
        objects.put(key, b"x")
    assert sweeping.sweep_objects(kept.database, now) == 0
    later = now + timedelta(days=1, minutes=5)
    assert sweeping.sweep_objects(kept.database, later) == 3
    assert sweeping.sweep_objects(kept.database, later) == 0
    assert set(kept.store.held()) == {*named, *foreign}


def test_without_a_store_there_is_nothing_to_sweep(database: Engine) -> None:
    assert sweeping.sweep_objects(database, datetime.now(UTC)) == 0
