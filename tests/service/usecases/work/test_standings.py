"""What becomes of a certificate, in one word."""

from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import pytest

from service.usecases.work.standings import NUMBER, state_of

WHEN, OTHER = datetime(2026, 11, 25, tzinfo=UTC), UUID(int=1)


@pytest.mark.parametrize(
    ("withdrawn_at", "superseded_by", "state"),
    [
        (None, None, "in_force"),
        (None, OTHER, "superseded"),
        (WHEN, None, "withdrawn"),
        (WHEN, OTHER, "withdrawn"),
    ],
)
def test_what_was_withdrawn_stays_so_whatever_came_after_it(
    withdrawn_at: Any, superseded_by: Any, state: str
) -> None:
    assert state_of({"withdrawn_at": withdrawn_at, "superseded_by": superseded_by}) == state


@pytest.mark.parametrize("number", ["DEMO-2026-00001", "A1-2099-123456"])
def test_what_may_be_a_number(number: str) -> None:
    assert NUMBER.fullmatch(number)


@pytest.mark.parametrize(
    "number", ["demo-2026-00001", "DEMO-2026-1", "DEMO-2026-00001\n", "%", "DEMO-٢-00001"]
)
def test_what_none_can_be_is_not_looked_for(number: str) -> None:
    assert not NUMBER.fullmatch(number)
