"""Column types that SQLite and PostgreSQL keep alike."""

import zlib
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import orjson
from sqlalchemy import BigInteger, DateTime, Dialect, LargeBinary
from sqlalchemy.types import TypeDecorator

MONEY_SCALE = 4
# Of deflation: more takes twice as long and a tenth less room.
LEVEL = 3


class Instant(TypeDecorator[datetime]):
    """A moment in UTC. SQLite would drop the offset, so it is checked going in and put back coming out."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Refuse a moment without an offset."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a moment needs its offset from UTC")
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """The moment, in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Packed(TypeDecorator[Any]):
    """Plain JSON values, deflated: a cavity's working of 21 kB takes 4, and a tenth of a millisecond."""

    impl = LargeBinary
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> bytes | None:
        """The values' JSON, deflated (RFC 1950)."""
        return None if value is None else zlib.compress(orjson.dumps(value), LEVEL)

    def process_result_value(self, value: bytes | None, dialect: Dialect) -> Any:
        """The values."""
        return None if value is None else orjson.loads(zlib.decompress(value))


class Money(TypeDecorator[Decimal]):
    """An exact amount, kept as a whole number of ten-thousandths: SQLite has no exact decimals."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> int | None:
        """Refuse what the scale cannot hold, rather than round it unseen."""
        if value is None:
            return None
        scaled = value.scaleb(MONEY_SCALE)
        if scaled != scaled.to_integral_value():
            raise ValueError("an amount finer than a ten-thousandth cannot be stored")
        return int(scaled)

    def process_result_value(self, value: Any, dialect: Dialect) -> Decimal | None:
        """The amount, with two decimals or as many as it has."""
        if value is None:
            return None
        amount = Decimal(value).scaleb(-MONEY_SCALE)
        return max(amount.normalize(), amount.quantize(Decimal("0.01")), key=_decimals)


def _decimals(amount: Decimal) -> int:
    exponent = amount.as_tuple().exponent
    return -exponent if isinstance(exponent, int) else 0
