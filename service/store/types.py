"""Column types that SQLite and PostgreSQL keep alike."""

import zlib
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import orjson
from sqlalchemy import (
    BigInteger,
    ColumnElement,
    DateTime,
    Dialect,
    LargeBinary,
    Text,
    cast,
    type_coerce,
)
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


class Deflated:
    """Plain JSON values, deflated (RFC 1950): many are held where one has room that is inflated.

    No dataclass: the writer of JSON would write it as one.
    """

    def __init__(self, content: bytes) -> None:
        self.content = content

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Deflated) and self.plain == other.plain

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        """The same for the same values: whoever compares or searches rows as text sees into them."""
        return f"Deflated.of({self.plain!r})"

    @classmethod
    def of(cls, values: Any) -> "Deflated":
        """These values."""
        return cls.written(orjson.dumps(values))

    @classmethod
    def written(cls, text: bytes) -> "Deflated":
        """The values of a JSON text."""
        return cls(zlib.compress(text, LEVEL))

    @property
    def text(self) -> bytes:
        """The values' JSON."""
        return zlib.decompress(self.content)

    @property
    def plain(self) -> Any:
        """The values."""
        return orjson.loads(self.text)


class Packed(TypeDecorator[Any]):
    """Values that stay deflated until somebody reads them: a cavity's working of 21 kB takes 4."""

    impl = LargeBinary
    cache_ok = True

    @property
    def python_type(self) -> type[Deflated]:
        """What a row holds."""
        return Deflated

    def process_bind_param(self, value: Any, dialect: Dialect) -> bytes | None:
        """The values' JSON, deflated."""
        if value is None:
            return None
        return (value if isinstance(value, Deflated) else Deflated.of(value)).content

    def process_result_value(self, value: bytes | None, dialect: Dialect) -> Deflated | None:
        """The values, deflated as they are."""
        return None if value is None else Deflated(bytes(value))


class _Written(TypeDecorator[Any]):
    impl = Text
    cache_ok = True

    def process_result_value(self, value: str | None, dialect: Dialect) -> orjson.Fragment | None:
        """The text, for whoever writes JSON."""
        return None if value is None else orjson.Fragment(value)


def as_written(column: ColumnElement[Any]) -> ColumnElement[Any]:
    """A column of JSON as the text that it is: what is answered as it is kept need not be read for it."""
    return type_coerce(cast(column, Text), _Written)


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
