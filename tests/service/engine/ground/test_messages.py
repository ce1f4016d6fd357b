from datetime import UTC, date, datetime

import pytest

from service.engine.ground.messages import Message, Quantity, Value, Word, from_plain, message, to_plain, word
from service.engine.ground.vocabulary import Element, Verdict


@pytest.mark.parametrize(
    ("value", "plain"),
    [
        ("W1/3", "W1/3"),
        (3, 3),
        (2.5, 2.5),
        (Quantity(50.0, "kg/m3"), {"value": 50.0, "unit": "kg/m3"}),
        (Word("element.wall"), {"word": "element.wall"}),
        (date(2026, 11, 25), {"day": "2026-11-25"}),
        (datetime(2026, 11, 25, 8, tzinfo=UTC), {"moment": "2026-11-25T08:00:00+00:00"}),
        (Message("site.inner"), {"code": "site.inner", "values": {}}),
        ((1, "two"), [1, "two"]),
    ],
)
def test_a_plain_form_makes_the_same_message_again(value: Value, plain: object) -> None:
    said = message("site.something", value=value)
    assert to_plain(said) == {"code": "site.something", "values": {"value": plain}}
    assert from_plain({**to_plain(said), "text": "words are not looked at"}) == said


def test_members_of_the_vocabulary_become_words() -> None:
    said = message("site.x", element=Element.ROOF_SLOPE, several=(Verdict.CONFORMING,))
    assert said.values == {"element": Word("element.roof_slope"), "several": (Word("verdict.conforming"),)}
    assert word(Verdict.NON_CONFORMING) == Word("verdict.non_conforming")


def test_messages_can_be_told_apart_and_counted() -> None:
    assert len({message("a.b", x=1), message("a.b", x=1), message("a.b", x=2), message("a.c", x=1)}) == 3
