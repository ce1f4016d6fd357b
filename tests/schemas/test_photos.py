"""A photo says what it is of, where no entry does; it is shown without its content and whose it is."""

from typing import Any, get_type_hints

import pytest

from schemas.photos import Photo, PhotoQuery
from service.store.row_types import PhotoHead
from tests.pointers import refused


@pytest.mark.parametrize(
    "query", [{}, {"cavity": "W1"}, {"cavity": "W1", "caption": "The patch, from inside"}]
)
def test_what_it_is_of_may_be_said(query: dict[str, Any]) -> None:
    assert PhotoQuery().load(query) == query


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("cavity", ""),
        ("cavity", "W" * 81),
        ("caption", "Two\nlines"),
        ("caption", "x" * 201),
        ("taken_at", "x"),
    ],
)
def test_what_cannot_be_printed_is_refused_by_its_field(name: str, value: str) -> None:
    assert refused(PhotoQuery(), {name: value}) == {f"/{name}"}


def test_it_is_shown_without_whose_it_is_where_it_lies_and_the_salted_digests() -> None:
    known = get_type_hints(PhotoHead).keys()
    assert Photo().fields.keys() <= known
    unsaid = {"job_id", "firm_id", "key_id", "object_key", "sent_sha256", "place_sha256"}
    assert known - Photo().fields.keys() == unsaid
