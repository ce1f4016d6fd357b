"""A usual framing leaves nothing open: sizes in order, one layer with the rest, openings with both."""

from typing import Any

import pytest

from schemas.usual import UsualFraming
from tests.pointers import GONE, changed, demo, refused

BODY = demo("practice/eu.json")["usual"][0]


@pytest.mark.parametrize("name", ["eu", "us"])
def test_the_demo_firms_sets_are_taken(name: str) -> None:
    sets = demo(f"practice/{name}.json")["usual"]
    assert sets
    assert [refused(UsualFraming(), each) for each in sets] == [set()] * len(sets)


@pytest.mark.parametrize(
    ("pointer", "value", "at"),
    [
        ("/span_m/usual", 9, "/span_m/usual"),
        ("/span_m/most", 1001, "/span_m/most"),
        ("/span_m/least", GONE, "/span_m/least"),
        ("/openings_percent/most", 91, "/openings_percent/most"),
        ("/opening", GONE, "/opening"),
        ("/openings_percent", GONE, "/opening"),
        ("/opening/left_m", 1, "/opening/left_m"),
        ("/opening/count", 2, "/opening/count"),
        ("/layers/1/depth_mm", 120, "/layers"),
        ("/layers/0/depth_mm", GONE, "/layers"),
        ("/layers/0/members/spacing_mm", 600, "/layers/0/members/spacing_mm"),
        ("/source", GONE, "/source"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(pointer: str, value: Any, at: str) -> None:
    assert refused(UsualFraming(), changed(BODY, pointer, value)) == {at}
