"""Figures to six significant digits."""

from service.engine.ground.figures import rounded, significant


def test_six_digits_are_left_of_a_figure_and_all_of_a_whole_number() -> None:
    assert significant(1234567.89) == 1234570.0
    assert significant(0.000123456789) == 0.000123457
    assert significant(123456789) == 123456789


def test_everything_in_plain_json_is_rounded_and_nothing_else_changed() -> None:
    plain = {"a": [0.12345678, {"b": None}], "c": "0.12345678", "d": True}
    assert rounded(plain) == {"a": [0.123457, {"b": None}], "c": "0.12345678", "d": True}
