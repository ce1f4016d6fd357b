"""Fill moves wherever clear spaces touch or overlap, and nowhere else."""

from typing import Any

import pytest

from service.engine.geometry.connections import connected_spaces
from service.engine.geometry.layout import layout_of
from service.engine.geometry.sheets import sheets
from service.engine.survey.cavity import Cavity
from tests.builders import framing, layer, opening, stud_wall, wall


def bays(cavity: Cavity) -> list[list[int]]:
    """The bays of each group of connected spaces."""
    layout = layout_of(cavity=cavity)
    groups = connected_spaces(layout=layout, stack=sheets(layout=layout))
    return sorted(sorted({space.bay for space in group if space.bay}) for group in groups)


ALONE = [[bay] for bay in range(1, 16)]
TOGETHER = [list(range(1, 16))]
LEAVES = (layer(145, framing()), layer(95, framing()))


@pytest.mark.parametrize(
    ("fields", "found"),
    [
        ({}, TOGETHER),
        # Strips at each member close the open layer between two bays.
        ({"dividers": True}, ALONE),
        # Studs that stand opposite one another leave no way from bay to bay; others do.
        ({"layers": LEAVES}, ALONE),
        ({"layers": LEAVES, "leaves_aligned": False}, TOGETHER),
    ],
    ids=["open layer", "dividers", "opposite", "not opposite"],
)
def test_bays_are_connected_through_the_depth(fields: dict[str, Any], found: list[list[int]]) -> None:
    assert bays(wall(**fields)) == found


def test_studs_through_the_whole_depth_keep_bays_apart() -> None:
    assert bays(stud_wall()) == [[bay] for bay in range(1, 11)]


def test_a_box_from_plate_to_plate_cuts_an_open_layer_in_two() -> None:
    door = opening(width_m=1.0, height_m=2.56, left_m=3.0, sill_m=0.045)
    left, right = bays(wall(openings=(door,)))
    assert left == list(range(1, left[-1] + 1))
    assert right == list(range(right[0], 16))
    assert right[0] > left[-1]


def test_every_space_is_in_one_group_and_each_group_has_a_bay() -> None:
    window = opening(left_m=2.0, sill_m=0.9, trim_mm=45, reveal_mm=20)
    layout = layout_of(cavity=wall(openings=(window,), dividers=True))
    stack = sheets(layout=layout)
    spaces = [space for sheet in stack for cell in sheet.cells for space in cell]
    groups = connected_spaces(layout=layout, stack=stack)
    grouped = [space for group in groups for space in group]
    assert len(grouped) == len(set(map(id, grouped))) == len(spaces)
    assert all(any(space.bay for space in group) for group in groups)


def test_an_upper_edge_that_comes_down_parts_a_wall() -> None:
    """Where the edge comes down to the floor no fill passes: each side of the notch is by itself."""
    notched = wall(profile_m=((0.0, 2.65), (4.6, 0.0), (4.8, 0.0), (9.4, 2.65)))
    assert bays(notched) == [list(range(1, 9)), list(range(8, 16))]
    assert bays(wall(profile_m=((0.0, 2.0), (4.7, 2.65), (9.4, 2.0)))) == TOGETHER
