"""Each way of closing is told once, with the holes that it is true of."""

from typing import Any

from service.documents.papers.closings import closings, left_open, named

PLAN: list[dict[str, Any]] = [{"number": number} for number in range(1, 5)]
PATCH: dict[str, Any] = {
    **{"wiped": True, "pressed_on": True, "width_mm": None, "height_mm": None, "tape": None},
    **{"by": "C. Crew", "happened_at": "2026-11-23T09:00:00Z"},
}
CORE: dict[str, Any] = {"number": None, "tag": None, "purpose": "sample", "bay": 4, "patch": PATCH}


def told(**fields: Any) -> dict[str, Any]:
    nothing: dict[str, Any] = {
        "stated": 4,
        "added": [],
        "omitted": [],
        "unaccounted": [],
        "patch": None,
        "singles": [],
    }
    return nothing | {"closed_apart": [], "open": [], "open_added": 0} | fields


def test_what_was_closed_alike_is_one_way_that_of_most_holes_first() -> None:
    careless = {"number": 4, "patch": PATCH | {"wiped": False}}
    ways = closings(PLAN, told(closed_apart=[careless], patch=PATCH))
    assert [(way["numbers"], way["count"], way["patch"]["wiped"]) for way in ways] == [
        ("1–3", 3, True),
        ("4", 1, False),
    ]


def test_a_sample_s_hole_is_of_its_way_and_no_entry_hole() -> None:
    (way,) = closings(PLAN, told(patch=PATCH, singles=[CORE]))
    assert (way["count"], way["entries"], way["samples"]) == (5, 4, "4")


def test_what_is_open_is_told_and_nothing_where_nothing_is() -> None:
    still = left_open(told(open=[2], open_added=1, singles=[CORE | {"patch": None}]))
    assert still is not None
    assert (still["numbers"], still["added"], still["samples"], still["count"]) == ("2", 1, "4", 3)
    assert left_open(told(patch=PATCH)) is None


def test_holes_are_called_by_their_numbers_or_tags_or_bays() -> None:
    found = named([CORE, CORE | {"purpose": "entry", "tag": "X"}, CORE | {"purpose": "entry", "number": 3}])
    assert (found["numbers"], found["tags"], found["samples"], found["entries"]) == ("3", "X", "4", 2)
