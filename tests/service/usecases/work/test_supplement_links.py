"""What a client is shown of a supplement lapses by itself."""

from datetime import date
from typing import Any

import pytest

from service.usecases.work.agreed import Supplement
from service.usecases.work.supplement_links import state_on


@pytest.mark.parametrize(
    ("steps", "day", "state"),
    [
        (("proposal", "offer"), date(2026, 12, 24), "offered"),
        (("proposal", "offer"), date(2026, 12, 25), "lapsed"),
        (("proposal", "offer", "acceptance"), date(2026, 12, 25), "accepted"),
    ],
)
def test_its_state_on_a_day(steps: tuple[str, ...], day: date, state: str) -> None:
    row: Any = {}
    taken: Any = tuple({"kind": kind} for kind in steps)
    offer = {"valid_until": "2026-12-24"}
    assert state_on(Supplement(row=row, steps=taken), offer, day) == state
    closed = state_on(Supplement(row=row, steps=taken), offer, day, closed=True)
    assert closed == ("lapsed" if state == "offered" else state)
