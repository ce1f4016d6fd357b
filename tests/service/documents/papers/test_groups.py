"""What repeats is said once, and nothing of it is lost."""

from service.documents.papers.groups import answers, hold_points, most_common, runs, tag_runs


def test_numbers_as_ranges() -> None:
    assert runs([1, 2, 3, 4, 7, 9, 10, 11]) == "1–4, 7, 9–11"
    assert runs([]) == ""
    assert runs([3, 2, 1]) == "3, 2, 1"


def test_tags_that_count_up_are_told_by_the_first_and_the_last() -> None:
    assert tag_runs(["N-08", "N-09", "N-10", "N-11"]) == "N-08 – N-11"
    assert tag_runs(["N-1", "N-2"]) == "N-1, N-2"
    assert tag_runs(["N-1", "S-2", "S-03", "hatch"]) == "N-1, S-2, S-03, hatch"
    # Written with other zeros, 9 and 010 are not known to follow one another.
    assert tag_runs(["9", "010", "011"]) == "9, 010, 011"


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
        "late": False,
    } | fields


def test_what_concerns_the_whole_job_comes_first() -> None:
    groups = hold_points(
        [a_point("W1"), a_point(None, code="gas", text={"en": "No smell of gas."}), a_point("W2")]
    )
    assert [(group["text"]["en"], group["cavities"]) for group in groups] == [
        ("No smell of gas.", []),
        ("Timber is dry.", ["W1", "W2"]),
    ]


def test_answers_are_told_apart_by_what_was_answered_and_readings_by_their_ends() -> None:
    later = "2026-11-23T09:00:00Z"
    points = [
        a_point("W1", reading=14.0, limit={"unit": "%"}),
        a_point("W2", happened_at=later),
        a_point("W3", reading=18.0),
        a_point("W4", remark="dried for a week"),
    ]
    first, second = answers(points)
    assert (first["cavities"], first["times"]) == (["W1", "W2", "W3"], ("2026-11-23T07:30:00Z", later))
    assert first["readings"] == {"span": (14.0, 18.0), "unit": "%"}
    assert (second["cavities"], second["remark"], second["readings"]) == (["W4"], "dried for a week", None)
    (open_,) = answers([a_point(None, answer=None, by=None, happened_at=None)])
    assert (open_["answer"], open_["times"]) == (None, None)


def test_an_answer_in_time_is_not_told_with_one_that_was_late() -> None:
    first, second = answers([a_point("W1"), a_point("W2", late=True)])
    assert (first["cavities"], first["late"]) == (["W1"], False)
    assert (second["cavities"], second["late"]) == (["W2"], True)


def test_times_by_different_clocks_stand_in_the_order_of_what_happened() -> None:
    later, earlier = "2026-11-23T08:00:00Z", "2026-11-23T08:30:00+01:00"
    (only,) = answers([a_point("W1", happened_at=later), a_point("W2", happened_at=earlier)])
    assert only["times"] == (earlier, later)


def test_what_is_said_most_often_is_told_once_if_it_is_said_twice() -> None:
    one, other = ("C. Crew", "23 Nov"), ("D. Crew", "23 Nov")
    assert most_common([one, None, other, one, None, None]) == one
    assert most_common([one, None, None]) is None
    assert most_common([]) is None
