"""A version touches drafts of its day or later that are worked out by its code, and no others."""

from datetime import date
from typing import Any

import pytest
from sqlalchemy import Connection

from service.store import quotes
from service.usecases.base.context import Context
from service.usecases.firm import touched

DRAFTS = [
    {"id": "a", "reference": "A", "currency": "EUR", "practice": "eu", "priced_on": "2026-11-25"},
    {"id": "b", "reference": "B", "currency": "USD", "practice": "us", "priced_on": "2026-11-25"},
    {"id": "c", "reference": "C", "currency": "EUR", "practice": "eu", "priced_on": "2026-10-01"},
]


def test_it_goes_by_code_and_day(context: Context, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(quotes, "drafts", lambda *_: DRAFTS)
    nowhere: Any = Connection
    found = touched.drafts(nowhere, context, "currency", "EUR", date(2026, 11, 1))
    assert [each["reference"] for each in found] == ["A"]
    both = touched.drafts(nowhere, context, "practice", "eu", date(2026, 1, 1))
    assert [each["reference"] for each in both] == ["A", "C"]
