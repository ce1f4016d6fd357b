"""What rows are said to hold is what their tables have."""

import types
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Union, get_args, get_origin, get_type_hints
from uuid import UUID

import pytest
from sqlalchemy import Column

from service.store import row_types, tables

TABLES = {
    row_types.Firm: tables.firms,
    row_types.Crew: tables.crews,
    row_types.Key: tables.keys,
    row_types.Version: tables.materials,
    row_types.QuoteCavity: tables.quote_cavities,
    row_types.Client: tables.clients,
    row_types.Seal: tables.seals,
    row_types.Import: tables.imports,
    row_types.Job: tables.jobs,
    row_types.Assignment: tables.assignments,
    row_types.Entry: tables.entries,
    row_types.Photo: tables.photos,
    row_types.Concession: tables.concessions,
    row_types.Certificate: tables.certificates,
    row_types.Withdrawal: tables.withdrawals,
    row_types.File: tables.files,
    row_types.Link: tables.links,
    row_types.Answer: tables.answers,
}
PART_OF = {
    row_types.KeyHead: tables.keys,
    row_types.QuoteName: tables.quotes,
    row_types.PhotoBase: tables.photos,
    row_types.CertificateHead: tables.certificates,
}


def held(hint: Any) -> tuple[Any, bool]:
    """The type of a member, and whether it may be None."""
    if get_origin(hint) in (Union, types.UnionType):
        (inner,) = [each for each in get_args(hint) if each is not type(None)]
        return inner, True
    return get_origin(hint) or hint, False


def assert_same(name: str, hint: Any, column: Column[Any]) -> None:
    kind, nullable = held(hint)
    if kind is Any or kind is list:
        return
    assert kind is column.type.python_type or kind in (datetime, date, Decimal, UUID, bytes), name
    assert nullable == bool(column.nullable), name


@pytest.mark.parametrize("kind", TABLES, ids=lambda kind: kind.__name__)
def test_a_row_has_the_columns_of_its_table(kind: type) -> None:
    hints, columns = get_type_hints(kind), TABLES[kind].c
    assert hints.keys() == set(columns.keys())
    for name, hint in hints.items():
        assert_same(name, hint, columns[name])


@pytest.mark.parametrize("kind", PART_OF, ids=lambda kind: kind.__name__)
def test_a_part_of_a_row_has_columns_of_its_table(kind: type) -> None:
    for name, hint in get_type_hints(kind).items():
        assert_same(name, hint, PART_OF[kind].c[name])


def test_a_quote_comes_with_its_client() -> None:
    client = {"client", "client_sha256", "client_erased_at"}
    assert get_type_hints(row_types.Quote).keys() == set(tables.quotes.c.keys()) | client
    assert get_type_hints(row_types.QuoteHead).keys() == get_type_hints(row_types.Quote).keys() - {
        "basis",
        "summary",
    }
