"""A draft that is touched is named by what an office knows of it."""

from schemas.touched import Touched


def test_it_is_shown_as_it_is() -> None:
    shown = {"id": "x", "reference": "SO-1", "priced_on": "2026-11-25"}
    assert Touched().dump(shown) == shown
