"""Headings of any levels become one tree, whose lines know one another."""

from service.documents.pdf.outline import Bookmark, outline


def lines(*levels: int) -> dict[int, dict[str, object]]:
    headings = [Bookmark(level=level, title=f"T{level}", page=9, x=1, y=2) for level in levels]
    return dict(outline(headings, number=6, following=20))


def test_each_heading_is_under_the_last_of_a_higher_level() -> None:
    found = lines(1, 2, 3, 3, 2)
    assert found[6]["First"] == found[6]["Last"] == "20 0 R"
    assert found[6]["Count"] == 5
    assert (found[20]["First"], found[20]["Last"], found[20]["Count"]) == ("21 0 R", "24 0 R", 4)
    assert (found[22]["Parent"], found[22]["Next"]) == ("21 0 R", "23 0 R")
    assert (found[24]["Parent"], found[24]["Prev"]) == ("20 0 R", "21 0 R")
    assert "Next" not in found[24]


def test_a_piece_may_begin_at_any_level() -> None:
    found = lines(3, 2, 1)
    assert [found[number]["Parent"] for number in (20, 21, 22)] == ["6 0 R"] * 3


def test_a_paper_without_headings_has_an_empty_outline() -> None:
    assert lines() == {6: {"Type": "/Outlines", "Count": 0}}
