"""Rows out of an archive's JSON: complete and of their kinds, or refused by the column's name."""

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from sqlalchemy import Connection, Engine, select

from service.store import rows, tables
from service.store.session import reading, writing
from service.usecases.base.json import to_json

ID = UUID("0197f000-0000-7000-8000-000000000001")
NOW = datetime(2026, 11, 25, 8, 0, 0, 123456, tzinfo=UTC)
QUOTE: dict[str, Any] = {
    "id": ID,
    "firm_id": ID,
    "number": "Q-2026-0001",
    "revision": 1,
    "revises": None,
    "reference": "SO-1",
    "state": "draft",
    "version": 1,
    "body": {"b": [1, 2.5, None, True], "a": "ä"},
    "basis": {},
    "summary": {"x": 0.1},
    "short": {},
    "short_singly": None,
    "currency": "EUR",
    "total": Decimal("1234.50"),
    "created_at": NOW,
    "updated_at": NOW,
    "offered_at": NOW,
    "valid_until": date(2026, 12, 25),
    "accepted_at": None,
    "withdrawn_at": None,
    "superseded_at": None,
    "superseded_by": None,
    "sealed": 0,
}


def test_a_row_comes_back_from_json_as_it_was() -> None:
    assert rows.read(tables.quotes, to_json(QUOTE)) == QUOTE


def test_a_row_goes_into_a_table_and_comes_out_the_same(database: Engine) -> None:
    with writing(database) as connection:
        firm = {"id": ID, "code": "trial", "data": {}, "created_at": NOW}
        rows.add_all(connection, tables.firms, [rows.read(tables.firms, to_json(firm))])
        rows.add_all(connection, tables.quotes, [rows.read(tables.quotes, to_json(QUOTE))])
        rows.add_all(connection, tables.quotes, [])
    with reading(database) as connection:
        assert _only(connection) == QUOTE


def _only(connection: Connection) -> dict[str, Any]:
    return dict(connection.execute(select(tables.quotes)).mappings().one())


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("id", "not an id"),
        ("id", 7),
        ("id", None),
        ("version", "1"),
        ("version", True),
        ("version", 1.5),
        ("total", 12.5),
        ("total", "twelve"),
        ("created_at", "yesterday"),
        ("created_at", "2026-11-25T08:00:00"),
        ("valid_until", "2026-13-01"),
        ("reference", None),
        ("number", ["Q"]),
    ],
)
def test_a_value_of_another_kind_is_refused_by_its_column(column: str, value: object) -> None:
    with pytest.raises(ValueError, match=rf"quotes\.{column}"):
        rows.read(tables.quotes, {**to_json(QUOTE), column: value})


@pytest.mark.parametrize("values", [[], None, {}, {**to_json(QUOTE), "colour": "red"}], ids=str)
def test_members_must_be_the_columns(values: object) -> None:
    with pytest.raises(ValueError, match="a row of quotes has these members"):
        rows.read(tables.quotes, values)


def test_columns_may_be_kept_elsewhere() -> None:
    left = rows.names(tables.files, ("content", "object_key", "size_bytes"))
    assert left == ["kind", "owner_id", "sha256", "created_at", "erased_at"]
