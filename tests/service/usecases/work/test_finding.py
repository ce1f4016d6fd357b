"""What an office knows is looked for word by word, or whole."""

from datetime import UTC, date, datetime

from service.usecases.work.finding import Known, sought


def test_client_and_place_go_by_words_and_the_rest_as_a_whole() -> None:
    known = Known(reference="SO 1", client="Ada Muster", place="1010 Wien", build_up="EW-360")
    assert sought(known).terms == [
        ("reference", "so 1"),
        ("build_up", "ew-360"),
        ("client", "ada"),
        ("client", "muster"),
        ("place", "1010"),
        ("place", "wien"),
    ]


def test_a_star_is_whatever_follows() -> None:
    found = sought(Known(reference="SO-*", client="Ada Mus*"))
    assert found.terms == [("client", "ada")]
    assert found.begins == [("reference", "so-"), ("client", "mus")]


def test_days_are_whole() -> None:
    found = sought(Known(since=date(2026, 11, 1), until=date(2026, 11, 30)))
    assert found.since == datetime(2026, 11, 1, tzinfo=UTC)
    assert found.until == datetime(2026, 12, 1, tzinfo=UTC)
