"""A summary that ends before it begins is refused; its rows have every figure of it."""

from datetime import date, timedelta

import pytest

from service.errors import InvalidInput
from service.usecases.base.context import Context
from service.usecases.work.summaries import rows, summary
from tests.stored import TODAY


def test_a_month_without_anything_is_one_without_anything(context: Context) -> None:
    long_ago = date(2020, 1, 1)
    found = summary(context, long_ago, long_ago + timedelta(days=30))
    assert (found.jobs, found.quotes, found.learned) == (0, (), ())
    assert [each.jobs for each in found.compared] == [0, 0, 0, 0]
    told = {(of, name): value for of, name, value in rows(found)}
    assert told["jobs", "jobs_ready"] == 0
    assert told["kilograms", "real"] == 0


def test_it_ends_after_it_begins(context: Context) -> None:
    with pytest.raises(InvalidInput):
        summary(context, TODAY, TODAY - timedelta(days=1))
