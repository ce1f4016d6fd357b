"""What repeats is said once, and nothing of it is lost."""

from itertools import chain

from hypothesis import given
from hypothesis import strategies as st

from service.documents.papers.groups import answers, by_part, hold_points, openings, runs, tag_runs


def test_numbers_as_ranges() -> None:
    assert runs([1, 2, 3, 4, 7, 9, 10, 11]) == "1–4, 7, 9–11"
    assert runs([]) == ""
    assert runs([3, 2, 1]) == "3, 2, 1"


def test_tags_that_count_up_are_told_by_the_first_and_the_last() -> None:
    assert tag_runs(["N-08", "N-09", "N-10", "N-11"]) == [("N-08", "N-11")]
    assert tag_runs(["N-8", "N-9", "N-10"]) == [("N-8", "N-10")]


def test_other_tags_are_told_each() -> None:
    assert tag_runs(["N-1", "N-2"]) == [("N-1", None), ("N-2", None)]
    assert tag_runs(["N-1", "S-2", "S-03", "hatch"]) == [
        ("N-1", None),
        ("S-2", None),
        ("S-03", None),
        ("hatch", None),
    ]
    # Written with other zeros, 9 and 010 are not known to follow one another.
    assert tag_runs(["9", "010", "011"]) == [("9", None), ("010", None), ("011", None)]


def spelled_out(first: str, last: str | None) -> list[str]:
    if last is None:
        return [first]
    stem = first.rstrip("0123456789")
    width = len(first) - len(stem)
    return [stem + str(n).zfill(width) for n in range(int(first[len(stem) :]), int(last[len(stem) :]) + 1)]


@given(st.lists(st.from_regex(r"[A-C]?-?[0-9]{0,2}", fullmatch=True), max_size=12))
def test_no_tag_is_lost_and_none_is_added(tags: list[str]) -> None:
    assert list(chain.from_iterable(spelled_out(*run) for run in tag_runs(tags))) == tags


def a_point(cavity: str | None, **fields: object) -> dict[str, object]:
    return {
        "code": "dry",
        "text": {"en": "Timber is dry."},
        "cavity": cavity,
        "safety": True,
        "source": "a rule",
        "answer": "clear",
        "reading": None,
        "remark": "",
        "by": "C. Crew",
        "happened_at": "2026-11-23T07:30:00Z",
    } | fields


def test_what_concerns_the_whole_job_comes_first() -> None:
    groups = hold_points(
        [a_point("W1"), a_point(None, code="gas", text={"en": "No smell of gas."}), a_point("W2")]
    )
    assert [(group["text"]["en"], group["cavities"]) for group in groups] == [
        ("No smell of gas.", []),
        ("Timber is dry.", ["W1", "W2"]),
    ]


def test_answers_are_told_apart_by_what_was_answered() -> None:
    later = "2026-11-23T09:00:00Z"
    points = [a_point("W1"), a_point("W2", happened_at=later), a_point("W3", reading=18.0), a_point("W4")]
    first, second = answers([*points[:3], points[3] | {"reading": None}])
    assert (first["cavities"], first["times"]) == (["W1", "W2", "W4"], ("2026-11-23T07:30:00Z", later))
    assert (second["cavities"], second["reading"]) == (["W3"], 18.0)
    (open_,) = answers([a_point(None, answer=None, by=None, happened_at=None)])
    assert (open_["answer"], open_["times"]) == (None, None)


def an_opening(tag: str, **patch: object) -> dict[str, object]:
    closed = {
        "width_mm": 165,
        "height_mm": 300,
        "tape": "roll 150",
        "wiped": True,
        "pressed_on": True,
        "by": "C. Crew",
        "happened_at": "2026-11-23T07:30:00Z",
        "stated": False,
    }
    size = {"width_mm": 65, "height_mm": 200}
    return {"tag": tag, "number": None, "bay": 1, "purpose": "entry", **size, "patch": closed | patch}


def test_openings_are_told_together_only_where_all_is_the_same() -> None:
    alike = [an_opening("1"), an_opening("2"), an_opening("3")]
    odd = [an_opening("4", width_mm=100), an_opening("5", wiped=False), an_opening("6") | {"bay": None}]
    unclosed = an_opening("0") | {"patch": None}
    told = openings([unclosed, *alike, *odd])
    assert [(each["tags"], each["count"]) for each in told] == [
        ([("1", "3"), ("6", None)], 4),
        ([("4", None)], 1),
        ([("5", None)], 1),
        ([("0", None)], 1),
    ]
    assert told[-1]["patch"] is None


def test_a_part_tells_what_was_stated_of_it_and_what_was_recorded_by_itself() -> None:
    bare = {"singles": [], "omitted": [], "open": []}
    parts = [
        {"cavity": "A1", "stated_by": None, **bare},
        {"cavity": "W1", "stated_by": "C. Crew", **bare | {"omitted": [3, 4, 5], "open": [7]}},
        {"cavity": "W2", "stated_by": None, **bare | {"singles": [an_opening("1")]}},
    ]
    told = by_part(parts)
    assert [(each["cavity"], each["omitted_runs"], each["open_runs"]) for each in told] == [
        ("W1", "3–5", "7"),
        ("W2", "", ""),
    ]
    assert [len(each["groups"]) for each in told] == [0, 1]
