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
SINGLE: dict[str, Any] = {
    **{"number": None, "tag": "X", "purpose": "entry", "bay": 2, "width_mm": 65, "height_mm": 200},
    **{"x_m": None, "height_m": None, "patch": {"wiped": True, "pressed_on": True}},
}


def told(**fields: Any) -> dict[str, Any]:
    return {
        **{"cavity": "W1", "planned": 4, "made": 4, "stated": 4, "others": 0, "closed": 4},
        **{"as_planned": True, "stated_by": "C. Crew", "stated_at": "2026-11-23T07:30:00Z"},
        **{"added": [], "omitted": [], "unaccounted": [], "patch": None, "singles": []},
        **{"closed_apart": []},
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


def test_the_table_tells_what_is_open_badly_closed_or_for_another_purpose() -> None:
    core = SINGLE | {"purpose": "sample", "tag": None, "bay": 4}
    careless = SINGLE | {"number": 3, "patch": {"wiped": False, "pressed_on": True}}
    (row,) = rows([PART], [told(singles=[core, SINGLE | {"patch": None}, careless], others=1)])
    assert row["others"] == [{"purpose": "sample", "count": 1, "bays": "4", "sizes": [(65, 200)]}]
    assert (row["open_singles"], row["badly"]) == (["X"], ["3"])


def test_a_part_of_which_nothing_is_said_has_no_row() -> None:
    assert rows([PART], [told(planned=0, made=0)]) == []


PATCH: dict[str, Any] = {
    **{"wiped": True, "pressed_on": True, "width_mm": None, "height_mm": None, "tape": None},
    **{"by": "C. Crew", "happened_at": "2026-11-23T09:00:00Z"},
}


def test_holes_that_were_closed_by_themselves_stand_apart_those_alike_together() -> None:
    others = PATCH | {"wiped": False, "happened_at": "2026-11-24T09:00:00Z"}
    apart = [{"number": number, "patch": PATCH | {"photos": []}} for number in (1, 2)]
    (row,) = rows([PART], [told(closed_apart=[*apart, {"number": 4, "patch": others}])])
    assert [(each["numbers"], each["patch"]["by"]) for each in row["apart"]] == [
        ("1–2", "C. Crew"),
        ("4", "C. Crew"),
    ]
    assert row["badly"] == ["4"]


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
