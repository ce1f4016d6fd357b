"""Rows of some days are found on both databases, and never more of them than asked for."""

from datetime import timedelta

import pytest

from service.store import exports
from tests.stored import NOW, Site, quote

KINDS = (
    exports.quotes_between,
    exports.parts_between,
    exports.entries_between,
    exports.certificates_between,
)


@pytest.mark.parametrize("find", KINDS, ids=lambda find: find.__name__)
def test_there_is_nothing_of_other_days(site: Site, find: object) -> None:
    days = (NOW - timedelta(days=9), NOW - timedelta(days=8))
    assert find(site.connection, firm_id=site.firm_id, days=days, limit=5) == []  # type: ignore[operator]


def test_no_more_are_found_than_asked_for(site: Site) -> None:
    for _ in range(3):
        quote(site.connection, site.firm_id)
    days = (NOW - timedelta(days=1), NOW + timedelta(days=1))
    found = exports.quotes_between(site.connection, firm_id=site.firm_id, days=days, limit=2)
    assert len(found) <= 2
