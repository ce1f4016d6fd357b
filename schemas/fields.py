"""Fields that take a value only in the form that was agreed: no text for numbers, no guessing."""

import unicodedata
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from math import isfinite
from typing import Any

from marshmallow import ValidationError, fields, validate

# Categories that print nothing or reorder what is printed: control, format, surrogate, private use.
UNPRINTABLE = {"Cc", "Cf", "Cs", "Co"}
JOINERS = {"\u200c", "\u200d"}


class Number(fields.Float):
    """A finite JSON number."""

    def __init__(self, *, least: float, most: float, **options: Any) -> None:
        super().__init__(validate=validate.Range(min=least, max=most), **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
            raise ValidationError("Must be a number.")
        return float(value)


class Whole(fields.Integer):
    """A whole JSON number; 3.0 is one (JSON Schema says so too)."""

    def __init__(self, *, least: int, most: int, **options: Any) -> None:
        super().__init__(validate=validate.Range(min=least, max=most), **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int | float) or value % 1 != 0:
            raise ValidationError("Must be a whole number.")
        return int(value)


class Flag(fields.Boolean):
    """true or false, and nothing that resembles them."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> bool:
        if not isinstance(value, bool):
            raise ValidationError("Must be true or false.")
        return value


class Text(fields.String):
    """A line of text that a person can read: not empty, nothing invisible in it."""

    def __init__(self, *, longest: int = 200, lines: bool = False, **options: Any) -> None:
        self.lines = lines
        super().__init__(validate=validate.Length(min=1, max=longest), **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> str:
        text: str = super()._deserialize(value, attr, data, **options)
        allowed = JOINERS | ({"\n"} if self.lines else set())
        if any(unicodedata.category(c) in UNPRINTABLE and c not in allowed for c in text):
            raise ValidationError("Must not hold control or invisible characters.")
        if text and not text.strip():
            raise ValidationError("Must not be blank.")
        return text


class Amount(fields.Field[Decimal]):
    """Money: a decimal string, such as "1250.00"."""

    def __init__(self, *, most: str = "99999999", least: str = "0", **options: Any) -> None:
        super().__init__(**options)
        self.least, self.most = Decimal(least), Decimal(most)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Decimal:
        if not isinstance(value, str) or len(value) > 20:
            raise ValidationError("Must be a decimal string.")
        try:
            amount = Decimal(value)
        except InvalidOperation:
            raise ValidationError("Must be a decimal string.") from None
        exponent = amount.as_tuple().exponent
        if not isinstance(exponent, int) or not -4 <= exponent <= 0 or "e" in value.lower():
            raise ValidationError("Must be a decimal string with at most four decimals.")
        if not self.least <= amount <= self.most:
            raise ValidationError(f"Must be from {self.least} to {self.most}.")
        return amount

    def _serialize(self, value: Any, attr: str | None, obj: Any, **options: Any) -> str | None:
        return None if value is None else str(value)


class Day(fields.Date):
    """A day, such as "2026-11-25". Answers are plain already and pass as they are."""

    def _serialize(self, value: Any, attr: str | None, obj: Any, **options: Any) -> Any:
        return value.isoformat() if isinstance(value, date) else value


class Moment(fields.AwareDateTime):
    """A moment in RFC 3339 with its offset. Answers are plain already and pass as they are."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> datetime:
        moment: datetime = super()._deserialize(value, attr, data, **options)
        if not 2000 <= moment.year <= 2200:
            raise ValidationError("Must be a moment of this age.")
        return moment

    def _serialize(self, value: Any, attr: str | None, obj: Any, **options: Any) -> Any:
        return value.isoformat() if isinstance(value, datetime) else value


def metres(*, least: float = 0.05, most: float = 500, **options: Any) -> Number:
    """A length in metres."""
    return Number(least=least, most=most, **options)


def millimetres(*, least: float = 1, most: float = 5000, **options: Any) -> Number:
    """A length in millimetres."""
    return Number(least=least, most=most, **options)


def kilograms(*, least: float = 0, most: float = 1_000_000, **options: Any) -> Number:
    """A mass in kilograms."""
    return Number(least=least, most=most, **options)


def iso_code(letters: int, **options: Any) -> fields.String:
    """An ISO code of capital letters: 2 for a country (ISO 3166), 3 for a currency (ISO 4217)."""
    # The length keeps out the newline that `$` would let pass.
    return fields.String(
        validate=[validate.Length(equal=letters), validate.Regexp(f"^[A-Z]{{{letters}}}$")], **options
    )


def label(**options: Any) -> Text:
    """A short name that is printed everywhere."""
    return Text(longest=80, **options)


class Word(fields.Enum[Any]):
    """A word of the vocabulary, by its value. Answers are plain already and pass as they are."""

    def _serialize(self, value: Any, attr: str | None, obj: Any, **options: Any) -> Any:
        return None if value is None else str(value)


def one_of(kind: Any, **options: Any) -> Word:
    """A word of the vocabulary, by its value."""
    return Word(kind, by_value=True, **options)
