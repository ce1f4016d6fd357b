"""A link is asked for so many days; its address is shown once."""

from typing import Any

import pytest

from schemas.links import Link, LinkBody, LinkHead
from tests.pointers import refused


@pytest.mark.parametrize("days", [1, 3660, 30.0])
def test_a_link_holds_for_whole_days(days: Any) -> None:
    assert LinkBody().load({"days": days}) == {"days": int(days)}


@pytest.mark.parametrize("body", [{}, *({"days": days} for days in (0, 3661, -1, 1.5, "30", True, None))])
def test_how_long_it_holds_is_said(body: dict[str, Any]) -> None:
    assert refused(LinkBody(), body) == {"/days"}


def test_the_address_is_shown_when_it_is_made_and_never_again() -> None:
    assert Link().fields.keys() - LinkHead().fields.keys() == {"url"}
