"""Each word of the trade is spelt once, in one way, and fits where it is kept."""

from enum import StrEnum

import pytest

from service.engine.ground import vocabulary
from service.store.tables import concessions, quote_cavities

KINDS = [
    kind
    for kind in vars(vocabulary).values()
    if isinstance(kind, type) and issubclass(kind, StrEnum) and kind is not StrEnum
]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_word_is_its_name_in_small_letters(kind: type[StrEnum]) -> None:
    # Of an event a dot parts the thing from what happened to it.
    assert [word.value.replace(".", "_") for word in kind] == [word.name.lower() for word in kind]
    assert kind.__doc__


def test_every_kind_of_word_is_here() -> None:
    assert len(KINDS) > 15


@pytest.mark.parametrize(
    ("kind", "column"),
    [
        (vocabulary.Element, quote_cavities.c.element),
        (vocabulary.ConditionCode, concessions.c.condition),
    ],
    ids=str,
)
def test_a_word_fits_into_its_column(kind: type[StrEnum], column: object) -> None:
    longest = max(len(word) for word in kind)
    assert longest <= column.type.length  # type: ignore[attr-defined]
