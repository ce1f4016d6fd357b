"""Fields take a value only in the form that was agreed."""

from decimal import Decimal

import pytest
from marshmallow import ValidationError

from schemas.fields import Amount, Flag, Moment, Number, Text, Whole, iso_code, one_of
from service.engine.vocabulary import Element


@pytest.mark.parametrize("value", ["3", True, None, [], {}, float("nan"), float("inf"), -1, 11])
def test_a_number_is_a_finite_number_in_range(value: object) -> None:
    with pytest.raises(ValidationError):
        Number(least=0, most=10).deserialize(value)


def test_a_whole_number_may_be_written_with_a_point() -> None:
    # JSON Schema (draft 2020-12, 4.2.2) counts 3.0 among the integers.
    assert Whole(least=0, most=10).deserialize(3.0) == 3
    for value in (3.5, "3", False, float("inf"), float("nan")):
        with pytest.raises(ValidationError):
            Whole(least=0, most=10).deserialize(value)


@pytest.mark.parametrize("value", [1, 0, "true", "yes", None])
def test_a_flag_is_true_or_false(value: object) -> None:
    with pytest.raises(ValidationError):
        Flag().deserialize(value)


@pytest.mark.parametrize(
    "value",
    ["", " ", "a\nb", "a\x07", "a\u202eb", "a\u200bb", "a\ufeff", "x" * 201, 5],
    ids=repr,
)
def test_text_is_what_a_person_can_read(value: object) -> None:
    with pytest.raises(ValidationError):
        Text().deserialize(value)


@pytest.mark.parametrize("value", ["Straße 4", "Ελλάδα", "Дом 7", "می\u200cخواهم", "<b>&amp;"])
def test_text_of_any_language_passes_as_it_is(value: str) -> None:
    assert Text().deserialize(value) == value


@pytest.mark.parametrize("value", [12, 12.5, "12,50", "1e3", "NaN", "Infinity", "1.00001", "-1", "", "0x1"])
def test_money_is_a_decimal_string(value: object) -> None:
    with pytest.raises(ValidationError):
        Amount().deserialize(value)


def test_money_keeps_its_decimals() -> None:
    assert str(Amount().deserialize("12.50")) == "12.50"
    assert Amount().serialize("a", {"a": Decimal("12.50")}) == "12.50"


@pytest.mark.parametrize(
    "value", ["2026-11-25T10:00:00", "2026-11-25", "yesterday", 5, "1026-11-25T10:00:00Z"]
)
def test_a_moment_has_its_offset(value: object) -> None:
    with pytest.raises(ValidationError):
        Moment().deserialize(value)


@pytest.mark.parametrize("value", ["Wall", "WALL", "walls", "", 1])
def test_a_word_is_spelt_as_it_is(value: object) -> None:
    with pytest.raises(ValidationError):
        one_of(Element).deserialize(value)


@pytest.mark.parametrize("value", ["eur", "EU", "EURO", "EUR\n", "ÉUR"])
def test_an_iso_code_has_its_letters(value: str) -> None:
    with pytest.raises(ValidationError):
        iso_code(3).deserialize(value)
