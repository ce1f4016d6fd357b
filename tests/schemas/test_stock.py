"""Which jobs material is ordered for."""

from datetime import date

from schemas.stock import OrderQuery


def test_days_are_called_from_and_to_and_numbers_job() -> None:
    found = OrderQuery().load({"from": "2026-11-01", "to": "2026-11-07", "job": ["J-2026-0001"]})
    assert found == {"since": date(2026, 11, 1), "until": date(2026, 11, 7), "numbers": ["J-2026-0001"]}
