"""Events in the order of commit: an older transaction that is still open lets none be skipped."""

import threading
from collections.abc import Callable
from typing import Any
from uuid import UUID

import pytest
from sqlalchemy import Engine
from uuid6 import uuid7

from service.store import events
from service.store.row_types import Event
from service.store.session import open_database, reading, writing
from service.usecases.firm import firms
from tests.api import load_firms
from tests.stored import NOW, Site, firm


def added(connection: Any, firm_id: UUID, subject_id: UUID | None = None) -> UUID:
    position, end = events.take(connection, firm_id=firm_id, count=1)
    row: Event = {
        "id": uuid7(),
        "firm_id": firm_id,
        "position": position,
        "kind": "quote.offered",
        "subject_id": subject_id or uuid7(),
        "data": {},
        "happened_at": NOW,
        "chain_sha256": end,
    }
    events.add_all(connection, [row])
    return row["id"]


def test_events_are_listed_after_a_position_in_their_order(site: Site) -> None:
    ids = [added(site.connection, site.firm_id) for _ in range(4)]
    added(site.connection, firm(site.connection))
    found = events.after(site.connection, firm_id=site.firm_id, position=1, limit=2)
    assert [(row["id"], row["position"]) for row in found] == [(ids[1], 2), (ids[2], 3)]
    assert events.after(site.connection, firm_id=site.firm_id, position=4, limit=2) == []
    assert [row["id"] for row in events.of_ids(site.connection, ids[:1])] == ids[:1]
    assert [row["id"] for row in events.of_firm(site.connection, site.firm_id)] == ids
    assert events.extent(site.connection, site.firm_id) == (4, 4, 4)


def test_what_happened_and_what_is_told_are_held_against_each_other(site: Site) -> None:
    named: dict[str, Any] = {"firm_id": site.firm_id, "kind": "quote.accepted"}
    # The site's job was accepted and nobody told of it.
    assert (events.untold(site.connection, **named), events.unfounded(site.connection, **named)) == (1, 0)
    added(site.connection, site.firm_id)
    offered: dict[str, Any] = {**named, "kind": "quote.offered"}
    assert events.unfounded(site.connection, **offered) == 1


@pytest.fixture(scope="module")
def postgres(new_postgres: Callable[[], str]) -> str:
    """Only there can two transactions write at once."""
    url = new_postgres()
    load_firms(url)
    return url


def test_an_older_transaction_that_is_still_open_lets_none_be_skipped(postgres: str) -> None:
    """Who has read up to a position never finds an event before it later on."""
    database: Engine = open_database(postgres, operator=True)
    firm_id = firms.id_of(database, "demo")
    begun, seen = threading.Event(), []

    def second() -> None:
        begun.set()
        with writing(database) as connection:
            added(connection, firm_id)

    def listed() -> list[int]:
        with reading(database) as connection:
            return [row["position"] for row in events.after(connection, firm_id=firm_id, position=0, limit=9)]

    with writing(database) as older:
        added(older, firm_id)
        younger = threading.Thread(target=second)
        younger.start()
        begun.wait(10)
        # The younger one is ready to commit, and would be before the older one.
        younger.join(0.5)
        seen.append(listed())
        assert younger.is_alive()
        # Another firm's are not held up.
        with writing(database) as other:
            added(other, firms.id_of(database, "other"))
    younger.join(10)
    seen.append(listed())
    database.dispose()
    assert seen == [[], [1, 2]]


def _fails_after(_: UUID) -> None:
    raise ZeroDivisionError


def test_a_transaction_that_is_undone_leaves_no_gap(database: Engine) -> None:
    with writing(database) as connection:
        firm_id = firm(connection)
        added(connection, firm_id)
    with pytest.raises(ZeroDivisionError), writing(database) as connection:
        _fails_after(added(connection, firm_id))
    with writing(database) as connection:
        added(connection, firm_id)
        assert events.extent(connection, firm_id) == (2, 2, 2)
