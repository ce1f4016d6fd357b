"""Numbers of a sheet are read by the mark that its file declares, and by no other."""

from decimal import Decimal

import pytest

from service.api.sheets.grid import in_text, letters, number_in


@pytest.mark.parametrize(
    ("text", "mark", "number"),
    [
        ("1.234", "point", "1.234"),
        ("1.234", "comma", None),
        ("1,234", "comma", "1.234"),
        ("1,234", "point", None),
        ("1 234", "point", None),
        ("1e3", "point", None),
        ("-0.5", "point", "-0.5"),
        ("12", "comma", "12"),
        ("12", None, None),
        ("\u0661", "point", None),
    ],
)
def test_a_number_is_what_the_declared_mark_makes_of_it(
    text: str, mark: str | None, number: str | None
) -> None:
    assert number_in(text, mark) == (Decimal(number) if number else None)


@pytest.mark.parametrize("value", [0.1, 11.2, 1e-7, 123456789.125, 0.1 + 0.2, 5.0])
@pytest.mark.parametrize("mark", ["point", "comma"])
def test_every_digit_of_a_number_comes_back(value: float, mark: str) -> None:
    found = number_in(in_text(value, mark), mark)
    assert found is not None
    assert float(found) == value


def test_columns_have_letters_as_in_a_spreadsheet_program() -> None:
    assert [letters(each) for each in (1, 26, 27, 52, 53, 702, 703)] == [
        "A",
        "Z",
        "AA",
        "AZ",
        "BA",
        "ZZ",
        "AAA",
    ]
