"""Firms are found by code and id, and one is held against whoever else would hold it."""

import pytest
from sqlalchemy import Connection, Engine
from sqlalchemy.exc import IntegrityError, NoResultFound
from uuid6 import uuid7

from service.errors import Unavailable
from service.store import firms
from service.store.session import writing
from tests.stored import NOW, firm, impatient


def test_a_firm_is_found_by_code_and_id(connection: Connection) -> None:
    firm_id = firms.add(connection, code="north", data={"name": "Nörd"}, now=NOW)
    found = firms.by_code(connection, "north")
    assert found == {"id": firm_id, "code": "north", "data": {"name": "Nörd"}, "created_at": NOW}
    assert firms.by_id(connection, firm_id) == found
    assert firms.by_code(connection, "North") is None
    with pytest.raises(NoResultFound):
        firms.by_id(connection, uuid7())


def test_a_firm_may_have_other_data(connection: Connection) -> None:
    firm_id, other = firm(connection), firm(connection)
    before = firms.by_id(connection, other)
    firms.change(connection, firm_id, {"name": "Nörd"})
    assert firms.by_id(connection, firm_id)["data"] == {"name": "Nörd"}
    assert firms.by_id(connection, other) == before


def test_a_code_is_one_firms(connection: Connection) -> None:
    firms.add(connection, code="north", data={}, now=NOW)
    with pytest.raises(IntegrityError), connection.begin_nested():
        firms.add(connection, code="north", data={}, now=NOW)


def test_firms_come_oldest_first(connection: Connection) -> None:
    added = [firm(connection) for _ in range(3)]
    assert [row["id"] for row in firms.every(connection)] == added


def test_a_firm_that_is_held_is_waited_for(database: Engine) -> None:
    with writing(database) as connection:
        firm_id = firm(connection)
    with writing(database) as first:
        firms.by_id(first, firm_id, lock=True)
        with pytest.raises(Unavailable), impatient(database) as second:
            firms.by_id(second, firm_id, lock=True)
