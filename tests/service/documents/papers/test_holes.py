"""The holes of a part as they were made: none that nobody says was made."""

from typing import Any

from service.documents.papers.holes import made, rows, told_once
from service.documents.wording.formats import Units

PLAN = [
    {"number": number, "x_m": 0.3 * number, "height_m": 1.3, "width_mm": 65, "height_mm": 200}
    for number in range(1, 5)
]
PART: dict[str, Any] = {
    "cavity": {"label": "W1"},
    "planned": {"fill_plan": {"hole_list": PLAN, "patch_width_mm": 165, "patch_height_mm": 300}},
}
PATCH: dict[str, Any] = {
    **{"wiped": True, "pressed_on": True, "width_mm": None, "height_mm": None, "tape": None},
    **{"by": "C. Crew", "happened_at": "2026-11-23T09:00:00Z"},
}
SINGLE: dict[str, Any] = {
    **{"number": None, "tag": "X", "purpose": "entry", "bay": 2, "width_mm": 65, "height_mm": 200},
    **{"x_m": None, "height_m": None, "patch": PATCH},
}


def told(**fields: Any) -> dict[str, Any]:
    return {
        **{"cavity": "W1", "planned": 4, "made": 4, "stated": 4, "others": 0, "closed": 4},
        **{"as_planned": True, "stated_by": "C. Crew", "stated_at": "2026-11-23T07:30:00Z"},
        **{"added": [], "omitted": [], "unaccounted": [], "patch": None, "singles": []},
        **{"closed_apart": [], "open": [], "open_added": 0},
    } | fields


def numbers(found: dict[str, Any] | None) -> list[Any]:
    return [hole["number"] for hole in made(PART, found)]


def test_holes_said_to_be_as_planned_are_at_their_planned_places() -> None:
    assert made(PART, told()) == [
        {"number": hole["number"], "x_m": hole["x_m"], "height_m": 1.3} for hole in PLAN
    ]


def test_what_was_left_out_or_nobody_speaks_of_is_never_drawn() -> None:
    assert numbers(told(omitted=[2])) == [1, 3, 4]
    assert numbers(told(stated=0, made=0, unaccounted=[1, 2, 3, 4])) == []
    assert numbers(None) == []


def test_a_hole_that_was_measured_is_where_it_was_measured() -> None:
    single = SINGLE | {"number": 3, "x_m": 1.0, "height_m": 0.5}
    found = told(stated=0, unaccounted=[1, 2, 4], singles=[single])
    assert made(PART, found) == [{"number": 3, "x_m": 1.0, "height_m": 0.5}]


def test_a_hole_that_was_added_is_drawn_where_somebody_measured_its_place() -> None:
    added = {"bay": 2, "x_m": 0.7, "height_m": 2.0, "width_mm": 65, "height_mm": 200}
    half_known = [added | {"x_m": None}, added | {"height_m": None}]
    assert numbers(told(added=[added, *half_known])) == [1, 2, 3, 4, None]


def test_the_table_tells_what_is_open_and_what_is_for_another_purpose() -> None:
    core = SINGLE | {"purpose": "sample", "tag": None, "bay": 4}
    careless = SINGLE | {"number": 3, "tag": None, "patch": PATCH | {"wiped": False}}
    singles = [core, SINGLE | {"patch": None}, careless]
    (row,) = rows([PART], [told(singles=singles, others=1, open=[2], open_added=1)])
    assert row["others"] == [{"purpose": "sample", "count": 1, "tags": "", "bays": "4", "sizes": [(65, 200)]}]
    still = row["left_open"]
    assert (still["numbers"], still["tags"], still["added"], still["samples"]) == ("2", "X", 1, "")
    assert [(way["numbers"], way["samples"]) for way in row["closings"]] == [("", "4"), ("3", "")]


def test_holes_that_the_plan_does_not_have_are_told_with_those_that_were_added() -> None:
    added = {"bay": 3, "x_m": None, "height_m": None, "width_mm": 80, "height_mm": 80}
    other = SINGLE | {"purpose": "service"}
    (row,) = rows([PART], [told(added=[added], singles=[SINGLE, other])])
    assert [(each.get("tag"), each["bay"]) for each in row["besides"]] == [(None, 3), ("X", 2)]
    (alone,) = rows([PART], [told(stated=0, made=1, singles=[SINGLE])])
    assert (alone["besides"], alone["tags"]) == ([], "X")


def test_a_planned_hole_is_of_the_size_that_it_was_made_in() -> None:
    wide = SINGLE | {"number": 2, "tag": None, "width_mm": 90}
    (row,) = rows([PART], [told(singles=[wide])])
    assert row["resized"] == [{"numbers": "2", "size": (90, 200)}]
    assert row["sizes"] == [(65, 200)]


def test_a_part_of_which_nothing_is_said_has_no_row() -> None:
    assert rows([PART], [told(planned=0, made=0)]) == []


def test_holes_that_were_closed_by_themselves_stand_apart_those_alike_together() -> None:
    other = PATCH | {"by": "D. Crew", "photos": []}
    careless = PATCH | {"wiped": False, "happened_at": "2026-11-24T09:00:00Z"}
    apart = [{"number": number, "patch": other} for number in (1, 2)]
    found = told(closed_apart=[*apart, {"number": 4, "patch": careless}], patch=PATCH)
    (row,) = rows([PART], [found])
    ways = [(way["numbers"], way["patch"]["by"], way["patch"]["wiped"]) for way in row["closings"]]
    assert ways == [("1–2", "D. Crew", True), ("4", "C. Crew", False), ("3", "C. Crew", True)]


def test_what_closes_a_sample_is_no_patch_of_the_size_of_those_over_entry_holes() -> None:
    core = SINGLE | {"purpose": "sample", "tag": None, "bay": 4}
    (row,) = rows([PART], [told(singles=[core], others=1, patch=PATCH)])
    (way,) = row["closings"]
    assert (way["count"], way["entries"]) == (5, 4)


def test_what_most_rows_have_is_told_once_and_what_differs_with_its_row() -> None:
    usual, other = told(patch=PATCH), told(patch=PATCH | {"tape": "T"}, stated_by="D. Crew")
    found = [row for each in (usual, usual, other) for row in rows([PART], [each])]
    alike, once = told_once(found, Units("eu"))
    assert once == {"made": ("C. Crew", "23 Nov 2026"), "closed": ("C. Crew", "23 Nov 2026")}
    assert [row["as_usual"] for row in alike] == [True, True, False]
    assert [row["closed_as_usual"] for row in alike] == [True, True, False]


def test_careless_work_is_never_the_usual() -> None:
    careless = told(patch=PATCH | {"wiped": False}, as_planned=False)
    found = [row for _ in range(3) for row in rows([PART], [careless])]
    alike, once = told_once(found, Units("eu"))
    assert once == {"made": None, "closed": None}
    assert not any(row["as_usual"] or row["closed_as_usual"] for row in alike)
