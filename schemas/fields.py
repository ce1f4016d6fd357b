"""Fields that take a value only in the form that was agreed: no text for numbers, no guessing."""

import re
import unicodedata
from datetime import date, datetime
from decimal import Decimal
from math import isfinite
from typing import Any, ClassVar

from marshmallow import ValidationError, fields, validate

from schemas.units import unit_of
from schemas.wrong import Said, wrong
from service.engine.ground.messages import message
from service.engine.ground.rfc3339 import read_day, read_moment
from service.engine.ground.vocabulary import LANGUAGES

# Categories that print nothing, reorder what is printed or break it: control, format, surrogate, private
# use, separators of lines and paragraphs.
UNPRINTABLE = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}
JOINERS = {"\u200c", "\u200d"}
# Letters that print nothing (of Unicode's Default_Ignorable_Code_Point), and a blank in Braille.
FILLERS = set("\u034f\u115f\u1160\u17b4\u17b5\u2800\u3164\uffa0")
# Letters, numbers, punctuation and signs: what is seen by itself.
SEEN = ("L", "N", "P", "S")


class Number(fields.Float):
    """A finite JSON number."""

    def __init__(self, *, least: float, most: float, **options: Any) -> None:
        super().__init__(validate=validate.Range(min=least, max=most), **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
            raise wrong(message("schemas.no_number"))
        return float(value)

    def _validate(self, value: Any) -> None:
        _check_range(self, value)
        super()._validate(value)


class Whole(fields.Integer):
    """A whole JSON number; 3.0 is one (JSON Schema says so too)."""

    def __init__(self, *, least: int, most: int, **options: Any) -> None:
        super().__init__(validate=validate.Range(min=least, max=most), **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int | float) or value % 1 != 0:
            raise wrong(message("schemas.no_whole_number"))
        return int(value)

    def _validate(self, value: Any) -> None:
        _check_range(self, value)
        super()._validate(value)


def _check_range(field: fields.Field[Any], value: float) -> None:
    """Refuse what lies outside of a field's range, with the range and its unit."""
    within = next(each for each in field.validators if isinstance(each, validate.Range))
    if not within.min <= value <= within.max:
        limits = {"min": within.min, "max": within.max}
        unit = unit_of(field)
        said = message("schemas.outside_of_unit", unit=unit, **limits) if unit else None
        raise wrong(said or message("schemas.outside", **limits))


class Flag(fields.Boolean):
    """true or false, and nothing that resembles them."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> bool:
        if not isinstance(value, bool):
            raise wrong(message("schemas.no_boolean"))
        return value


def _check_printable(text: str, allowed: set[str]) -> None:
    if text.isascii() and text.isprintable():
        return
    if any((c in FILLERS or unicodedata.category(c) in UNPRINTABLE) and c not in allowed for c in text):
        raise wrong(message("schemas.invisible"))


class Text(fields.String):
    """A line of text that a person can read: not empty, nothing invisible in it."""

    def __init__(self, *, longest: int = 200, lines: bool = False, **options: Any) -> None:
        self.lines = lines
        super().__init__(validate=validate.Length(min=1, max=longest), **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> str:
        text: str = super()._deserialize(value, attr, data, **options)
        _check_printable(text, allowed=JOINERS | ({"\n"} if self.lines else set()))
        if text and not any(unicodedata.category(c).startswith(SEEN) for c in text):
            raise wrong(message("schemas.blank"))
        return text


def texts(*, longest: int = 200, lines: bool = False, **options: Any) -> fields.Dict:
    """What a firm says in its own words, by language: at least one, for a quote all that it is made in."""
    return fields.Dict(
        keys=fields.String(validate=validate.OneOf(LANGUAGES)),
        values=Text(longest=longest, lines=lines),
        validate=validate.Length(min=1),
        **options,
    )


class Mail(fields.Email):
    """An address for mail, on one line; its quotes may hold no more than a text may."""

    def __init__(self, **options: Any) -> None:
        super().__init__(validate=validate.Length(max=200), **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> str:
        text: str = super()._deserialize(value, attr, data, **options)
        _check_printable(text, allowed=set())
        return text


class Several(fields.List[Any]):
    """A list of so many: counted before it is read, and given up after a few members that cannot be."""

    GIVEN_UP_AFTER = 20

    def __init__(self, member: Any, *, least: int = 0, most: int, **options: Any) -> None:
        super().__init__(member, validate=validate.Length(min=least, max=most), **options)
        self.least, self.most = least, most

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> list[Any]:
        if not isinstance(value, list):
            raise wrong(message("schemas.no_list"))
        if len(value) > self.most:
            raise wrong(message("schemas.too_many", most=self.most))
        found, faulty = [], {}
        for index, member in enumerate(value):
            try:
                found.append(self.inner.deserialize(member, **options))
            except ValidationError as error:
                faulty[index] = error.messages
                if len(faulty) == self.GIVEN_UP_AFTER:
                    break
        if faulty:
            raise ValidationError(faulty)
        return found


# Decimal itself would also read "1_000", " 5", "+5", "-0" and the digits of other scripts.
DECIMAL = r"^(0|[1-9][0-9]{0,11})(\.[0-9]{1,4})?$"


class Amount(fields.Field[Decimal]):
    """Money: a decimal string, such as "1250.00"."""

    pattern: ClassVar[str] = DECIMAL

    def __init__(self, *, most: str = "99999999", least: str = "0", **options: Any) -> None:
        super().__init__(**options)
        self.least, self.most = Decimal(least), Decimal(most)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Decimal:
        if not isinstance(value, str) or not re.fullmatch(DECIMAL, value):
            raise wrong(message("schemas.no_amount"))
        amount = Decimal(value)
        if not self.least <= amount <= self.most:
            raise wrong(message("schemas.outside", min=str(self.least), max=str(self.most)))
        return amount

    def _serialize(self, value: Any, attr: str | None, obj: Any, **options: Any) -> str | None:
        return None if value is None else str(value)


class Balance(Amount):
    """Money as it is answered: less than nothing where a part fell away."""

    pattern: ClassVar[str] = DECIMAL.replace("^", "^-?", 1)


FIRST_YEAR, LAST_YEAR = 1900, 2200
"""Of days that anybody means: before and after there are slips, and an end of the calendar to run into."""


class Day(fields.Date):
    """A day in RFC 3339, such as "2026-11-25". Answers are plain already and pass as they are."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> date:
        try:
            day = read_day(value)
        except (TypeError, ValueError):
            raise wrong(message("schemas.no_day")) from None
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            raise wrong(message("schemas.day_of_another_age", first=str(FIRST_YEAR), last=str(LAST_YEAR)))
        return day

    def _serialize(self, value: Any, attr: str | None, obj: Any, **options: Any) -> Any:
        return value.isoformat() if isinstance(value, date) else value


class Moment(fields.AwareDateTime):
    """A moment in RFC 3339 with its offset. Answers are plain already and pass as they are."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> datetime:
        try:
            moment = read_moment(value)
        except (TypeError, ValueError):
            raise wrong(message("schemas.no_moment")) from None
        if not 2000 <= moment.year <= LAST_YEAR:
            raise wrong(message("schemas.another_age"))
        return moment

    def _serialize(self, value: Any, attr: str | None, obj: Any, **options: Any) -> Any:
        return value.isoformat() if isinstance(value, datetime) else value


def share(**options: Any) -> Number:
    """A share or a relative uncertainty."""
    return Number(least=0, most=1, **options)


def metres(*, least: float = 0.05, most: float = 500, **options: Any) -> Number:
    """A length in metres."""
    return Number(least=least, most=most, **options)


def millimetres(*, least: float = 1, most: float = 5000, **options: Any) -> Number:
    """A length in millimetres."""
    return Number(least=least, most=most, **options)


def kilograms(*, least: float = 0, most: float = 1_000_000, **options: Any) -> Number:
    """A mass in kilograms."""
    return Number(least=least, most=most, **options)


class PageSize(fields.Integer):
    """How many a page has, written in an address as digits and nothing else."""

    def __init__(self) -> None:
        super().__init__(load_default=50, validate=validate.Range(min=1, max=200))

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> int:
        if not re.fullmatch("[0-9]{1,4}", value):
            raise wrong(message("schemas.no_whole_number"))
        return int(value)


class Place(fields.Integer):
    """A place in an order, written in an address as digits and nothing else."""

    def __init__(self, **options: Any) -> None:
        super().__init__(validate=validate.Range(min=0, max=10**9), **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> int:
        if not re.fullmatch("[0-9]{1,10}", value):
            raise wrong(message("schemas.no_whole_number"))
        return int(value)


def iso_code(letters: int, **options: Any) -> fields.String:
    """An ISO code of capital letters: 2 for a country (ISO 3166), 3 for a currency (ISO 4217)."""
    # The length keeps out the newline that `$` would let pass.
    return fields.String(
        validate=[validate.Length(equal=letters), validate.Regexp(f"^[A-Z]{{{letters}}}$")], **options
    )


def label(**options: Any) -> Text:
    """A short name that is printed everywhere."""
    return Text(longest=80, **options)


NO_CODE = Said(message("schemas.no_code"))
# A code is part of addresses, so it holds nothing that an address gives a meaning to.
CODE = "[A-Za-z0-9][A-Za-z0-9._-]{0,39}"


def code(**options: Any) -> fields.String:
    """A short code that things are kept and found by."""
    return fields.String(
        validate=[validate.Length(min=1, max=40), validate.Regexp(f"^{CODE}$(?!\n)", error=NO_CODE)],
        **options,
    )


class Word(fields.Enum[Any]):
    """A word of the vocabulary, by its value. Answers are plain already and pass as they are."""

    def _serialize(self, value: Any, attr: str | None, obj: Any, **options: Any) -> Any:
        return None if value is None else str(value)


def one_of(kind: Any, **options: Any) -> Word:
    """A word of the vocabulary, by its value."""
    return Word(kind, by_value=True, **options)
