from hypothesis import given
from hypothesis import strategies as st

from service.engine.geometry.rectangles import Rectangle, without_all


def rectangle(left: float, right: float, bottom: float, top: float) -> Rectangle:
    return Rectangle(left_m=left, right_m=right, bottom_m=bottom, top_m=top)


WALL = rectangle(0, 4, 0, 3)


def test_a_hole_leaves_strips_of_full_height_beside_it_and_pieces_under_and_over_it():
    assert WALL.without(rectangle(1, 2, 1, 2)) == (
        rectangle(0, 1, 0, 3),
        rectangle(1, 2, 0, 1),
        rectangle(1, 2, 2, 3),
        rectangle(2, 4, 0, 3),
    )


def test_a_hole_that_goes_past_the_edges_leaves_what_is_inside():
    assert WALL.without(rectangle(-1, 1, -1, 1)) == (rectangle(0, 1, 1, 3), rectangle(1, 4, 0, 3))


def test_a_hole_beside_the_rectangle_leaves_it_whole():
    assert WALL.without(rectangle(4, 5, 0, 3)) == (WALL,)


def test_a_hole_over_everything_leaves_nothing():
    assert WALL.without(rectangle(-1, 5, -1, 4)) == ()


def test_a_common_edge_touches_but_does_not_overlap():
    beside = rectangle(4, 5, 2, 6)
    assert WALL.touches(beside)
    assert not WALL.overlaps(beside)


def test_a_common_corner_does_not_touch():
    assert not WALL.touches(rectangle(4, 5, 3, 6))


def test_what_both_have_in_common_is_within_both():
    assert WALL.within(rectangle(3, 5, -1, 2)) == rectangle(3, 4, 0, 2)


def test_turning_exchanges_the_directions():
    assert rectangle(0, 1, 2, 4).turned() == rectangle(2, 4, 0, 1)


def spans(most: int) -> st.SearchStrategy[list[int]]:
    return st.lists(st.integers(0, most), min_size=2, max_size=2, unique=True).map(sorted)


@given(st.lists(st.tuples(spans(8), spans(6)), max_size=4))
def test_what_is_left_is_what_the_holes_do_not_cover(holes):
    """Counted square by square."""
    left = without_all((rectangle(0, 8, 0, 6),), tuple(rectangle(*x, *y) for x, y in holes))
    squares = {
        (column, row)
        for column in range(8)
        for row in range(6)
        if not any(x[0] <= column < x[1] and y[0] <= row < y[1] for x, y in holes)
    }
    assert sum(piece.area_m2 for piece in left) == len(squares)
