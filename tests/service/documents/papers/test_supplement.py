"""The supplement's paper is the quotation's, with what came up in the place of the whole."""

from typing import Any

import pytest

from service.documents.papers import supplement
from tests.service.documents import facts

ITS: dict[str, Any] = {"parts": ["W9"], "dropped": ["W2"], "number": "J-1-S1"}


@pytest.fixture(scope="module")
def offered() -> dict[str, Any]:
    """A quotation's facts with those of a supplement."""
    quoted = facts.quote()
    return {**quoted, "number": "J-1-S1", "quote_number": "Q-1", "supplement": ITS}


def test_it_says_to_which_quotation_it_belongs_and_what_comes_and_goes(offered: dict[str, Any]) -> None:
    text = supplement.html(offered)
    assert "To quotation Q-1" in text
    assert "J-1-S1" in text
    assert all(label in text for label in ("W9", "W2"))
    german = supplement.html({**offered, "language": "de"})
    assert "Nachtrag" in german
    assert "Zu Angebot Q-1" in german


def test_without_parts_it_has_no_pages_of_parts(offered: dict[str, Any]) -> None:
    bare = {**offered, "cavities": [], "takeoff": {**offered["takeoff"], "cavities": [], "hold_points": []}}
    text = supplement.html(bare)
    assert "How each is filled" not in text
    assert "To pay" in text
    assert "What must be so before we fill" not in text
    assert "The same as for the job itself." in text


def test_a_sum_in_the_clients_favour_is_called_one(offered: dict[str, Any]) -> None:
    price = offered["takeoff"]["price"]
    less = {**offered, "takeoff": {**offered["takeoff"], "price": {**price, "total": "-120.00"}}}
    text = supplement.html(less)
    assert "To your credit" in text
    assert "To pay" not in text
