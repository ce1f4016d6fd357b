"""A preview's tag names all that a certificate rests on."""

import pytest

from service.errors import Conflict
from service.usecases.work.previews import _superseded, _tag


def certificate(number: str, *parts: str) -> dict[str, object]:
    """A certificate in force."""
    return {"number": number, "outcome": {"parts": [{"cavity": part} for part in parts]}}


def test_the_tag_is_of_the_parts_in_any_order() -> None:
    assert _tag({"entries": 3}, ["A1", "W1"]) == _tag({"entries": 3}, ["W1", "A1"])
    others = {_tag({"entries": 4}, ["A1", "W1"]), _tag({"entries": 3}, ["A1"])}
    assert _tag({"entries": 3}, ["A1", "W1"]) not in others


def test_a_certificate_supersedes_those_that_it_contains() -> None:
    walls, attic = certificate("N-1", "W1", "W2"), certificate("N-2", "A1")
    assert _superseded([walls, attic], {"W1", "W2"}) == (walls,)
    assert _superseded([walls, attic], {"W1", "W2", "A1"}) == (walls, attic)
    assert _superseded([walls, attic], {"F1"}) == ()


def test_a_partial_overlap_is_refused_and_says_what_is_left_out() -> None:
    with pytest.raises(Conflict) as refused:
        _superseded([certificate("N-1", "W1", "W2")], {"W1", "A1"})
    assert refused.value.detail.values == {"number": "N-1", "parts": ("W2",)}
