"""Where to go on in events."""

import pytest
from marshmallow import ValidationError

from schemas.events import EventQuery


def test_without_a_position_it_is_from_the_beginning() -> None:
    assert EventQuery().load({}) == {"after": 0, "limit": 50}
    assert EventQuery().load({"after": "12", "limit": "3"}) == {"after": 12, "limit": 3}


@pytest.mark.parametrize("after", ["-1", "x", "1.5", ""])
def test_a_position_is_a_whole_number(after: str) -> None:
    with pytest.raises(ValidationError):
        EventQuery().load({"after": after})
