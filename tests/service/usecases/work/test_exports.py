"""A table ends where it would be too long, and says so."""

from datetime import timedelta

import pytest
from sqlalchemy import Engine

from service.errors import InvalidInput
from service.settings import Settings
from service.usecases.base.context import Context
from service.usecases.firm import firms
from service.usecases.work import exports
from tests.api import NOW


@pytest.fixture
def context(settings: Settings, database: Engine) -> Context:
    """The surroundings of somebody who acts for the demo firm."""
    nobody = Context(database=database, settings=settings, caller=None, now=NOW)
    return nobody.acting_for(firms.id_of(database, "demo"), "operator")


@pytest.mark.parametrize("kind", exports.KINDS)
def test_days_are_in_order_and_what_there_is_fits(
    context: Context, monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    today = context.now.date()
    assert isinstance(exports.rows(context, kind, today, today), list)
    with pytest.raises(InvalidInput):
        exports.rows(context, kind, today, today - timedelta(days=1))
    monkeypatch.setattr(exports, "MOST_ROWS", -1)
    with pytest.raises(InvalidInput) as raised:
        exports.rows(context, kind, today, today)
    assert [fault.pointer for fault in raised.value.faults] == ["/until"]
