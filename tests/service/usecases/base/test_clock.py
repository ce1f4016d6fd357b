"""Moments that have not come."""

from datetime import timedelta

from service.usecases.base.clock import is_beyond
from tests.api import NOW


def test_two_clocks_may_differ_by_ten_minutes() -> None:
    assert not is_beyond(NOW + timedelta(minutes=10), NOW)
    assert is_beyond(NOW + timedelta(minutes=10, microseconds=1), NOW)
