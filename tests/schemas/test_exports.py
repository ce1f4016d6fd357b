"""What is taken away says of which days."""

from schemas.exports import ExportQuery
from tests.pointers import refused, refused_without

QUERY = {"since": "2026-11-01", "until": "2026-11-30"}


def test_both_days_are_needed_and_a_mark_is_one_of_two() -> None:
    assert refused(ExportQuery(), {**QUERY, "decimal_mark": "comma"}) == set()
    assert refused_without(ExportQuery(), QUERY) == {name: {f"/{name}"} for name in QUERY}
    assert refused(ExportQuery(), {**QUERY, "decimal_mark": ","}) == {"/decimal_mark"}
