"""Alive is who answers; ready is whose database has this version's schema."""

from collections.abc import Iterator

import pytest
from flask import Flask
from sqlalchemy import Engine, text

from service.store.session import writing
from tests.api import problem


def test_it_is_alive_and_ready_for_anybody(app: Flask) -> None:
    client = app.test_client()
    assert client.get("/healthz").json == {"status": "alive"}
    assert client.get("/readyz").json == {"status": "ready"}


@pytest.fixture
def another_schema(database: Engine) -> Iterator[None]:
    revise = text("UPDATE alembic_version SET version_num = :new")
    with writing(database) as connection:
        before = connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one()
        connection.execute(revise, {"new": "9999"})
    yield
    with writing(database) as connection:
        connection.execute(revise, {"new": before})


@pytest.mark.usefixtures("another_schema")
def test_with_another_schema_it_is_alive_but_not_ready(app: Flask) -> None:
    client = app.test_client()
    assert client.get("/healthz").status_code == 200
    assert "newer" in problem(client.get("/readyz"), 503)["detail"]
