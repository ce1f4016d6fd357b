"""Events that were taken away, slipped in or made to tell of something else are found."""

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import Connection, Engine, text
from uuid6 import uuid7

from service.store.session import writing
from service.store.tables import events
from service.usecases.firm import firms
from service.usecases.keeping.event_checks import event_faults
from tests.api import NOW, Api, small_building
from tests.said import said

pytestmark = pytest.mark.usefixtures("papers_plain")

Change = Callable[[Connection], object]
FIRST = events.c.position == 1


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """The statements are tried on both in the check of a whole database."""
    return sqlite_url


@pytest.fixture(scope="module")
def told(app: Flask) -> Any:
    """An offer that was accepted, without what would refuse a change of its events."""
    job = Api(app).job(small_building())
    with writing(app.extensions["database"]) as connection:
        for action in ("update", "delete"):
            connection.execute(text(f"DROP TRIGGER events_no_{action}"))
    return job


def slipped_in(connection: Connection) -> None:
    row = dict(connection.execute(events.select().where(FIRST)).mappings().one())
    connection.execute(events.insert().values(**{**row, "id": uuid7(), "position": 3, "subject_id": uuid7()}))


def broken(position: int) -> str:
    return f"Event {position} is not as it was told, or one before it was removed or slipped in."


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            lambda connection: connection.execute(events.delete().where(FIRST)),
            [
                "Of 2 events that were numbered 1 are there.",
                broken(2),
                "It happened and no event tells of it (a quote was offered): 1.",
            ],
        ),
        (
            slipped_in,
            [
                "Of 2 events that were numbered 3 are there.",
                broken(3),
                "Events tell of what did not happen (a quote was offered): 1.",
            ],
        ),
        (
            lambda connection: connection.execute(
                events.update().where(FIRST).values(kind="certificate.withdrawn")
            ),
            [
                broken(1),
                "It happened and no event tells of it (a quote was offered): 1.",
                "Events tell of what did not happen (a certificate was withdrawn): 1.",
            ],
        ),
        *(
            (
                lambda connection, to=to: connection.execute(events.update().where(FIRST).values(to)),
                [broken(1)],
            )
            for to in ({"id": uuid7()}, {"data": {"state": "accepted"}}, {"happened_at": NOW})
        ),
    ],
)
def test_what_was_done_to_events_is_found(
    told: Any, database: Engine, change: Change, words: list[str]
) -> None:
    firm_id = firms.id_of(database, "demo")
    with database.connect().execution_options(writes=True) as connection, connection.begin() as transaction:
        assert list(event_faults(connection, firm_id)) == []
        change(connection)
        assert list(map(said, event_faults(connection, firm_id))) == words
        transaction.rollback()
