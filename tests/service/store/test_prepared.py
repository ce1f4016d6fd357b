"""A statement that is run by the driver says what SQLAlchemy says of it, and fails as it does."""

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

import orjson
import pytest
from sqlalchemy import (
    JSON,
    Column,
    Engine,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Uuid,
    bindparam,
    exc,
    select,
    text,
)

from service.errors import Unavailable
from service.store.prepared import Prepared
from service.store.session import reading, writing
from service.store.types import Deflated, Instant, Money, Packed, as_written

kinds = Table(
    "kinds",
    MetaData(),
    Column("id", Uuid, primary_key=True),
    Column("number", Integer),
    Column("word", String),
    Column("said", JSON),
    Column("at", Instant),
    Column("price", Money),
    Column("bytes", LargeBinary),
    Column("packed", Packed),
)
FULL: dict[str, Any] = {
    "id": UUID(int=7),
    "number": 3,
    "word": "ä'",
    "said": {"a": [1, None]},
    "at": datetime(2026, 11, 26, 6, tzinfo=UTC),
    "price": Decimal("1.10"),
    "bytes": b"\x00\xff",
    "packed": Deflated.of({"x": 1}),
}
EMPTY = {**dict.fromkeys(FULL), "id": UUID(int=8), "said": None}
AFTER = (
    select(kinds).where(kinds.c.id >= bindparam("first"), kinds.c.number.is_distinct_from(4)).order_by("id")
)


@pytest.fixture
def filled(database: Engine) -> Engine:
    """A table with a column of every kind, a row that has all and one that has none."""
    with writing(database) as connection:
        kinds.drop(connection, checkfirst=True)
        kinds.create(connection)
        connection.execute(kinds.insert(), [FULL, EMPTY])
    return database


def test_rows_are_what_the_library_makes_of_them(filled: Engine) -> None:
    prepared = Prepared(AFTER)
    with reading(filled) as connection:
        for _ in range(2):  # made once, and then kept
            found = prepared.every(connection, dict, first=UUID(int=0))
            assert found == [FULL, EMPTY]
            assert found == [
                dict(row) for row in connection.execute(AFTER, {"first": UUID(int=0)}).mappings()
            ]
        assert prepared.every(connection, dict, first=UUID(int=9)) == []


def test_one_row_or_none_but_never_one_of_several(filled: Engine) -> None:
    prepared = Prepared(AFTER)
    with reading(filled) as connection:
        assert prepared.one(connection, dict, first=UUID(int=8)) == EMPTY
        assert prepared.one(connection, dict, first=UUID(int=9)) is None
        with pytest.raises(exc.MultipleResultsFound):
            prepared.one(connection, dict, first=UUID(int=0))


def test_a_column_as_written_is_its_text(filled: Engine) -> None:
    prepared = Prepared(select(as_written(kinds.c.said).label("said")).where(kinds.c.id == bindparam("it")))
    with reading(filled) as connection:
        row = prepared.one(connection, dict, it=UUID(int=7))
    assert row is not None
    assert orjson.loads(orjson.dumps(row)) == {"said": {"a": [1, None]}}


def test_an_error_is_the_librarys_and_hides_what_was_asked(filled: Engine) -> None:
    prepared = Prepared(select(kinds).where(kinds.c.word == bindparam("word")))
    with writing(filled) as connection:
        kinds.drop(connection)
        with pytest.raises(exc.DBAPIError) as failed:
            prepared.every(connection, dict, word="a client's word")
    assert "kinds" in str(failed.value)
    assert "a client's word" not in str(failed.value)


def test_a_connection_that_was_cut_is_given_up(filled: Engine) -> None:
    if filled.dialect.name == "sqlite":
        pytest.skip("SQLite has no connection to cut")
    prepared = Prepared(AFTER)

    def cut() -> None:
        with reading(filled) as connection:
            pid = connection.exec_driver_sql("SELECT pg_backend_pid()").scalar_one()
            with reading(filled) as killer:
                killer.execute(text("SELECT pg_terminate_backend(:pid)"), {"pid": pid})
            prepared.every(connection, dict, first=UUID(int=0))

    with pytest.raises(Unavailable):
        cut()
    with reading(filled) as connection:
        assert len(prepared.every(connection, dict, first=UUID(int=0))) == 2
