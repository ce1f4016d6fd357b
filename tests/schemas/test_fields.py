"""Fields take a value only in the form that was agreed."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from marshmallow import ValidationError

from schemas.fields import (
    Amount,
    Day,
    Flag,
    Mail,
    Moment,
    Number,
    PageSize,
    Several,
    Text,
    Whole,
    code,
    iso_code,
    one_of,
)
from service.api.json_body import faults
from service.engine.ground.vocabulary import Element
from tests.refusals import words


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
    [
        "",
        " ",
        "\u3164",
        "A\u3164",
        "\uffa0",
        "\u2800",
        "\u115f\u1160",
        "\u200d",
        "\u0301",
        "\ufe0f",
        "\u00a0",
        "a\nb",
        "a\x07",
        "a\u202eb",
        "a\u200bb",
        "a\ufeff",
        "x" * 201,
        5,
    ],
    ids=repr,
)
def test_text_is_what_a_person_can_read(value: object) -> None:
    with pytest.raises(ValidationError):
        Text().deserialize(value)


@pytest.mark.parametrize(
    "value",
    ["Straße 4", "Ελλάδα", "한국", "e\u0301", "Sonne \u2600\ufe0f", "Дом 7", "می\u200cخواهم", "<b>&amp;"],
)
def test_text_of_any_language_passes_as_it_is(value: str) -> None:
    assert Text().deserialize(value) == value


@pytest.mark.parametrize("value", [12, 12.5, "12,50", "1e3", "NaN", "Infinity", "1.00001", "-1", "", "0x1"])
def test_money_is_a_decimal_string(value: object) -> None:
    with pytest.raises(ValidationError):
        Amount().deserialize(value)


def test_an_amount_below_nought_is_told_so() -> None:
    """That it must be a decimal string said nothing of "-1", which is one."""
    with pytest.raises(ValidationError) as caught:
        Amount().deserialize("-1")
    assert "not below nought" in words(faults(caught.value.messages)[0].detail)


def test_money_keeps_its_decimals() -> None:
    assert str(Amount().deserialize("12.50")) == "12.50"
    assert Amount().serialize("a", {"a": Decimal("12.50")}) == "12.50"


@pytest.mark.parametrize(
    "value", ["2026-11-25T10:00:00", "2026-11-25", "yesterday", 5, "1026-11-25T10:00:00Z"]
)
def test_a_moment_has_its_offset(value: object) -> None:
    with pytest.raises(ValidationError):
        Moment().deserialize(value)


@pytest.mark.parametrize(
    "value",
    ["2026-W48", "2026-W48-3", "20261125", "2026-11", "2026-329", "2026-11-25T00:00:00Z", 20261125, ""],
)
def test_a_day_is_one_of_rfc_3339_and_of_nothing_else(value: object) -> None:
    # 5.6, full-date. ISO 8601 has more: week dates, ordinal dates, the basic form.
    with pytest.raises(ValidationError):
        Day().deserialize(value)
    assert Day().deserialize("2026-11-25") == date(2026, 11, 25)


@pytest.mark.parametrize("day", ["0001-01-01", "1899-12-31", "2201-01-01", "9999-12-31"])
def test_a_day_is_one_that_somebody_can_mean(day: str) -> None:
    """At the ends of the calendar there is no day before, or after, to look until."""
    with pytest.raises(ValidationError) as caught:
        Day().deserialize(day)
    assert words(faults(caught.value.messages)[0].detail).endswith("from 1900 to 2200.")
    for near in ("1900-01-01", "2200-12-31"):
        assert Day().deserialize(near) == date.fromisoformat(near)


@pytest.mark.parametrize(
    "value",
    [
        "2026-W48-3T08:00:00Z",
        "20261125T080000Z",
        "2026-11-25 08:00:00Z",
        "2026-11-25T08:00Z",
        "2026-11-25T08Z",
        "2026-11-25T08:00:00+01",
        "2026-11-25T08:00:00+0100",
        "2026-11-25T08:00:00+01:00:30",
        "2026-11-25T08:00:00,5Z",
        "2026-11-25T08:00:00.Z",
        "\u0662026-11-25T08:00:00Z",
    ],
    ids=ascii,
)
def test_a_moment_is_one_of_rfc_3339_and_of_nothing_else(value: str) -> None:
    with pytest.raises(ValidationError):
        Moment().deserialize(value)


@pytest.mark.parametrize("value", ["2026-11-25T09:00:00.5+01:00", "2026-11-25t08:00:00.500z"])
def test_a_moment_has_any_offset_and_letters_of_either_size(value: str) -> None:
    # RFC 3339, 5.6 and its first note.
    assert Moment().deserialize(value) == datetime(2026, 11, 25, 8, 0, 0, 500_000, tzinfo=UTC)


@pytest.mark.parametrize("value", ["Wall", "WALL", "walls", "", 1])
def test_a_word_is_spelt_as_it_is(value: object) -> None:
    with pytest.raises(ValidationError):
        one_of(Element).deserialize(value)


@pytest.mark.parametrize("value", ["eur", "EU", "EURO", "EUR\n", "ÉUR"])
def test_an_iso_code_has_its_letters(value: str) -> None:
    with pytest.raises(ValidationError):
        iso_code(3).deserialize(value)


@pytest.mark.parametrize("value", ["", "a b", "a/b", "../a", ".a", "-a", "a\n", "é", "a" * 41, 5, None])
def test_a_code_can_be_part_of_an_address(value: object) -> None:
    with pytest.raises(ValidationError):
        code().deserialize(value)
    assert code().deserialize("CF-STD_2.1") == "CF-STD_2.1"


@pytest.mark.parametrize(
    "value", ["nobody", "a@b.example\n", '"\u202e"@b.example', "a" * 200 + "@b.example", 5]
)
def test_an_address_for_mail_is_one(value: object) -> None:
    with pytest.raises(ValidationError):
        Mail().deserialize(value)
    assert Mail().deserialize("a.b+c@d.example") == "a.b+c@d.example"


@pytest.mark.parametrize(
    "value", ["", "0", "201", "-1", "+5", " 5", "5 ", "1_0", "5.0", "\u0665", "9" * 5000]
)
def test_a_page_size_is_written_in_digits(value: str) -> None:
    with pytest.raises(ValidationError):
        PageSize().deserialize(value)
    assert PageSize().deserialize("200") == 200


def test_a_list_is_counted_before_its_members_are_read() -> None:
    with pytest.raises(ValidationError) as caught:
        Several(Number(least=0, most=9), most=2).deserialize(["x"] * 3)
    (fault,) = faults(caught.value.messages)
    assert words(fault.detail) == "Must have at most 2 members."
    for value in ({"0": 1}, "12", 5, None):
        with pytest.raises(ValidationError):
            Several(Number(least=0, most=9), most=2).deserialize(value)


def test_a_list_of_nonsense_is_given_up_after_some_members() -> None:
    with pytest.raises(ValidationError) as caught:
        Several(Number(least=0, most=9), most=1000).deserialize([1, *["x"] * 900])
    assert list(caught.value.messages) == list(range(1, 1 + Several.GIVEN_UP_AFTER))
