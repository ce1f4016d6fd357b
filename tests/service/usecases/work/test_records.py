"""A record has the photos of its parts, and the client's data only where it is printed."""

import json
from types import SimpleNamespace
from typing import Any
from uuid import UUID

import pytest
import rfc8785

from service.usecases.work.records import _photos, parted, with_client
from tests import site

PARTS = ("W1", "W2", "W3")


def taken(number: int, cavity: str | None = None) -> Any:
    kept = {"sha256": "0", "caption": None, "width_px": 4, "height_px": 3, "taken_at": None}
    place = {"place_sha256": "1", "latitude": 52.0, "longitude": 16.0}
    return {"id": UUID(int=number), "cavity": cavity, **kept, **place}


def entry(*photos: int, number: int = 0, corrects: int | None = None, **data: Any) -> Any:
    row = {"id": UUID(int=number), "corrects": corrects and UUID(int=corrects)}
    return {**row, "data": {"photos": [str(UUID(int=number)) for number in photos], **data}}


def ledger(*stated: Any, stands: tuple[Any, ...] = ()) -> Any:
    """An assessed job in which this was entered, and these entries stand."""
    return SimpleNamespace(evidence=SimpleNamespace(entries=stated), ledger=site.ledger(*stands))


def patch(tag: str | None, *photos: int, **fields: Any) -> Any:
    return site.patch(tag, photos=tuple(str(UUID(int=number)) for number in photos), **fields)


def numbers(photos: list[dict[str, Any]]) -> list[int]:
    return [UUID(photo["id"]).int for photo in photos]


def test_photos_are_of_these_parts_or_of_none() -> None:
    rows = [taken(1, "W1"), taken(2, "W2"), taken(3), taken(4)]
    said = ledger(entry(4, cavity="W2"))
    assert numbers(_photos(rows, said, {"W1"})) == [1, 3]
    assert numbers(_photos(rows, said, {"W2"})) == [2, 3, 4]
    assert numbers(_photos(rows, said, set(PARTS))) == [1, 2, 3, 4]


def test_those_that_patches_name_come_first_by_their_tags() -> None:
    rows = [taken(1), taken(2), taken(3)]
    found = _photos(rows, ledger(stands=(patch("P2", 3), patch("P1", 2), patch("P0", 2))), set(PARTS))
    assert numbers(found) == [2, 3, 1]
    assert [photo["tags"] for photo in found] == [["P0", "P1"], ["P2"], []]


def test_a_photo_says_which_part_it_shows_by_itself_or_by_its_entry() -> None:
    said = ledger(entry(2, cavity="W2"), entry(3, cavities=["W1", "W2"]))
    found = _photos([taken(1, "W1"), taken(2), taken(3), taken(4)], said, set(PARTS))
    assert [photo["cavity"] for photo in found] == ["W1", "W2", None, None]


def test_a_hole_is_not_its_patch_and_one_that_was_taken_back_is_none() -> None:
    said = ledger(
        entry(1, tag="P1", cavity="W1"),
        entry(2, tag="P2", cavity="W1"),
        stands=(patch(None, 3, number=7), site.hole("P1", photos=(str(UUID(int=1)),))),
    )
    found = _photos([taken(1), taken(2), taken(3)], said, set(PARTS))
    assert [(UUID(photo["id"]).int, photo["tags"]) for photo in found] == [(3, ["7"]), (1, []), (2, [])]


def test_a_photo_is_of_the_part_that_the_entry_says_that_stands() -> None:
    """One was of the other wall; what was taken back altogether says at least where its photo was taken."""
    right = {"cavity": "W2", "photos": [str(UUID(int=1))]}
    said = ledger(
        entry(1, number=11, cavity="W1"),
        entry(number=12, corrects=11, replacement=right),
        entry(2, number=13, cavity="W3"),
        entry(number=14, corrects=13, replacement=None),
    )
    found = _photos([taken(1), taken(2)], said, set(PARTS))
    assert [photo["cavity"] for photo in found] == ["W2", "W3"]
    assert _photos([taken(1), taken(2)], said, {"W1"}) == []


def test_a_photo_that_never_came_is_not_in_the_record() -> None:
    assert _photos([], ledger(entry(7, cavity="W1")), {"W1"}) == []


def test_the_record_holds_a_digest_in_the_place_of_the_place() -> None:
    (photo,) = _photos([taken(1)], ledger(), set())
    assert photo["place_sha256"] == "1"
    assert not {"latitude", "longitude"} & photo.keys()


@pytest.mark.parametrize(
    ("client", "name"),
    [({"name": "A client", "address": "4 Lane"}, "A client"), (None, "(erased)")],
    ids=["there", "erased"],
)
def test_client_and_places_are_printed_while_there_are_any(client: Any, name: str) -> None:
    record = {"number": "C-1", "photos": [{"id": str(UUID(int=1))}]}
    quote: Any = {"client": client, "client_erased_at": None, "body": {"site": {"country": "DE"}}}
    printed = with_client(record, quote, [taken(1)])
    assert (printed["number"], printed["client"]["name"]) == ("C-1", name)
    assert printed["photos"][0]["latitude"] == 52.0
    assert record == {"number": "C-1", "photos": [{"id": str(UUID(int=1))}]}


def test_a_records_parts_are_told_apart_from_the_rest() -> None:
    text = 'of "parts":[{"as_found": and ],"photos":[ it says nothing'
    part = {"as_found": None, "cavity": {"label": "W1"}, "found": {"photos": [], "x": [[{"a": [1]}]]}}
    record = {"lots": [text], "outcome": {"parts": [{"cavity": "W1"}]}, "parts": [part, part], "photos": [1]}
    canonical = rfc8785.dumps(record)
    own, parts = parted(canonical)
    assert json.loads(own) == {name: record[name] for name in ("lots", "outcome", "photos")}
    assert json.loads(b"[" + parts + b"]") == record["parts"]


@pytest.mark.parametrize("record", [{}, {"parts": []}, {"parts": [{"cavity": 1}], "photos": []}])
def test_a_record_of_another_kind_stays_whole(record: dict[str, object]) -> None:
    canonical = rfc8785.dumps(record)
    assert parted(canonical) == (canonical, b"")
    broken = b'{"a":1,"parts":[{"as_found":null}],"photos":['
    assert parted(broken) == (broken, b"")
