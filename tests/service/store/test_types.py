"""Column types keep a value alike on both databases."""

import json
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

import orjson
import pytest
from sqlalchemy import Column, Engine, MetaData, Table, select
from sqlalchemy.dialects import sqlite
from sqlalchemy.exc import StatementError

from service.store.session import writing
from service.store.types import Deflated, Instant, Money, Packed

rows = Table("things_of_a_test", MetaData(), Column("at", Instant), Column("price", Money))


def kept(database: Engine, **values: object) -> tuple[object, object]:
    """What comes back of what was put in."""
    with writing(database) as connection:
        rows.drop(connection, checkfirst=True)
        rows.create(connection)
        connection.execute(rows.insert().values(**values))
        found = connection.execute(select(rows)).one()
        rows.drop(connection)
    return found.at, found.price


def test_a_moment_comes_back_in_utc(database: Engine) -> None:
    vienna = datetime(2026, 11, 25, 9, 30, 0, 123456, tzinfo=timezone(timedelta(hours=1)))
    found, _ = kept(database, at=vienna)
    assert found == vienna
    assert found.tzinfo is UTC or found.utcoffset() == timedelta(0)


def test_a_moment_without_an_offset_is_refused(database: Engine) -> None:
    with pytest.raises(StatementError, match="offset"):
        kept(database, at=datetime(2026, 11, 25, 9, 30))  # noqa: DTZ001 - the very thing that is refused


@pytest.mark.parametrize("amount", ["0.00", "0.10", "1250.00", "0.0001", "-12.34", "99999999.9999"])
def test_money_comes_back_to_the_last_decimal(database: Engine, amount: str) -> None:
    _, found = kept(database, price=Decimal(amount))
    assert isinstance(found, Decimal)
    assert str(found) == amount


def test_money_that_is_too_fine_is_refused(database: Engine) -> None:
    with pytest.raises(StatementError, match="ten-thousandth"):
        kept(database, price=Decimal("0.00001"))


@pytest.mark.parametrize("value", [{"a": [1, 2.5, None, "Außenwand"]}, [], "text"])
def test_what_is_packed_comes_back_as_it_was(database: Engine, value: Any) -> None:
    table = Table("packed_of_a_test", MetaData(), Column("value", Packed))
    with writing(database) as connection:
        table.create(connection)
        connection.execute(table.insert().values(value=value))
        connection.execute(table.insert().values(value=Deflated.of(value)))
        connection.execute(table.insert().values(value=None))
        found, again, nothing = connection.execute(select(table)).scalars()
        table.drop(connection)
    assert (found.plain, orjson.loads(found.text)) == (value, value)
    assert again == found
    assert nothing is None


def test_a_working_is_packed_to_a_fifth() -> None:
    working = [
        {"label": f"W{number}", "mass_kg": number / 7, "code": "plan.sampled"} for number in range(200)
    ]
    packed = Packed().process_bind_param(working, sqlite.dialect())
    assert packed is not None
    assert len(packed) < len(json.dumps(working)) / 4


def test_deflated_values_read_the_same_where_they_are_the_same() -> None:
    one, same, other = (Deflated.of({"place": place}) for place in ("north", "north", "south"))
    assert repr(one) == repr(same) == "Deflated.of({'place': 'north'})"
    assert repr(one) != repr(other)
