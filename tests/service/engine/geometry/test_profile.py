import pytest

from service.engine.geometry.profile import Edge
from service.engine.geometry.rectangles import Rectangle

GABLE = Edge(((0.0, 2.0), (2.0, 4.0), (4.0, 2.0)))
VALLEY = Edge(((0.0, 2.0), (2.0, 0.5), (4.0, 2.0)))
STEP = Edge(((0.0, 1.0), (2.0, 1.0), (2.0, 3.0), (4.0, 3.0)))


@pytest.mark.parametrize(
    ("edge", "box", "area_m2"),
    [
        (GABLE, (0, 4, 0, 4), 12.0),
        (GABLE, (0, 4, 2, 4), 4.0),
        (GABLE, (0, 4, 0, 3), 11.0),
        (GABLE, (1, 3, 3.5, 9), 0.25),
        (GABLE, (0, 1, 3, 4), 0.0),
        (STEP, (0, 4, 0, 3), 8.0),
        (STEP, (1, 3, 0.5, 2), 2.0),
    ],
)
def test_area_under_the_edge_is_that_of_triangles_and_trapezoids(edge, box, area_m2):
    assert edge.area_m2(Rectangle(*box)) == pytest.approx(area_m2)


def test_a_lower_edge_takes_a_strip_that_follows_it():
    assert GABLE.area_m2(Rectangle(0, 4, 0, 4), drop_m=0.5) == pytest.approx(12.0 - 4 * 0.5)


def test_what_lies_under_the_edge_has_a_box_for_each_part_that_hangs_together():
    whole = Rectangle(0.0, 4.0, 0.0, 4.0)
    assert GABLE.under(whole) == (whole,)
    assert VALLEY.under(whole) == (Rectangle(0.0, 4.0, 0.0, 2.0),)
    left, right = VALLEY.under(Rectangle(0.0, 4.0, 1.0, 4.0))
    assert left == pytest.approx((0.0, 4 / 3, 1.0, 2.0))
    assert right == pytest.approx((8 / 3, 4.0, 1.0, 2.0))
    assert GABLE.under(Rectangle(0.0, 1.0, 3.5, 4.0)) == ()


def test_a_valley_that_touches_the_ground_parts_what_lies_beside_it():
    edge = Edge(((0.0, 2.0), (2.0, 0.0), (4.0, 2.0)))
    assert len(edge.under(Rectangle(0.0, 4.0, 0.0, 2.0))) == 2


def test_a_step_hangs_together_as_far_as_the_lower_side_reaches():
    assert STEP.under(Rectangle(1.0, 3.0, 0.0, 3.0)) == (Rectangle(1.0, 3.0, 0.0, 3.0),)
    assert STEP.under(Rectangle(1.0, 3.0, 2.0, 3.0)) == (Rectangle(2.0, 3.0, 2.0, 3.0),)


@pytest.mark.parametrize(
    ("left_m", "right_m", "level_m", "clear"),
    [(0.0, 1.0, 2.9, True), (0.0, 1.0, 3.1, False), (2.0, 2.0, 3.9, True), (0.5, 0.5, 2.6, False)],
)
def test_a_way_over_a_level_needs_room_under_the_edge(left_m, right_m, level_m, clear):
    assert GABLE.clears(left_m=left_m, right_m=right_m, level_m=level_m, drop_m=0.0) is clear


def test_a_line_at_a_step_is_as_high_as_its_lower_side():
    assert not STEP.clears(left_m=2.0, right_m=2.0, level_m=1.5, drop_m=0.0)


def test_highest_and_lowest():
    assert GABLE.highest_m == 4.0
    assert GABLE.lowest_m(left_m=1.0, right_m=4.0) == pytest.approx(2.0)


def test_the_corners_of_what_lies_under_the_edge():
    assert GABLE.shape(Rectangle(1.0, 3.0, 0.5, 9.0)) == ((3, 0.5), (1, 0.5), (1, 3), (2, 4), (2, 4), (3, 3))
    cut = GABLE.shape(Rectangle(0.0, 2.0, 0.0, 3.0))
    assert cut == ((2, 0), (0, 0), (0, 2), (1, 3), (2, 3))
