"""Column types keep a value alike on both databases."""

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from sqlalchemy import Column, Engine, MetaData, Table, select
from sqlalchemy.exc import StatementError

from service.store.session import writing
from service.store.types import Instant, Money

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
