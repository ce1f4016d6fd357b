"""Every kind of row is listed, and read as it says."""

from collections.abc import Iterator
from typing import Any, TypedDict, is_typeddict

import pytest
from sqlalchemy import Connection, CursorResult, create_engine, text
from sqlalchemy.exc import MultipleResultsFound, NoResultFound

from service.store import row_types
from tests.columns import laid_out

READERS = {"every", "one", "some", "stream", "the_one"}


class Numbered(TypedDict):
    """A row of these tests."""

    n: int


@pytest.fixture(scope="module")
def memory() -> Iterator[Connection]:
    engine = create_engine("sqlite://")
    with engine.connect() as connection:
        yield connection
    engine.dispose()


def found(connection: Connection, *numbers: int) -> CursorResult[Any]:
    values = ", ".join(f"({number})" for number in numbers) or "(NULL)"
    return connection.execute(text(f"WITH t(n) AS (VALUES {values}) SELECT n FROM t WHERE n IS NOT NULL"))


def test_every_kind_of_row_is_listed() -> None:
    assert set(row_types.__all__) == set(laid_out(is_typeddict)) | READERS


def test_one_row_or_none(memory: Connection) -> None:
    assert row_types.one(Numbered, found(memory, 1)) == {"n": 1}
    assert row_types.one(Numbered, found(memory)) is None
    with pytest.raises(MultipleResultsFound):
        row_types.one(Numbered, found(memory, 1, 2))


def test_the_one_row_that_has_to_be_there(memory: Connection) -> None:
    assert row_types.the_one(Numbered, found(memory, 1)) == {"n": 1}
    with pytest.raises(NoResultFound):
        row_types.the_one(Numbered, found(memory))


def test_all_rows(memory: Connection) -> None:
    assert row_types.every(Numbered, found(memory, 1, 2)) == [{"n": 1}, {"n": 2}]
    assert next(row_types.stream(Numbered, found(memory, 3, 4))) == {"n": 3}


def test_some_members_in_the_order_asked_for() -> None:
    assert list(row_types.some({"a": 1, "b": 2, "c": 3}, ["c", "a"]).items()) == [("c", 3), ("a", 1)]
