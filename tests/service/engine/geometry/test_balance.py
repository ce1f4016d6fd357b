"""What is balanced as one is the same however it was found: by sheets, by bays or by groups of spaces."""

from dataclasses import astuple

import pytest

from service.engine.geometry.balance import Balanced, as_one, by_groups, in_one_layer
from service.engine.geometry.connections import connected_spaces
from service.engine.geometry.layout import Layout, layout_of
from service.engine.geometry.lengths import Lengths
from service.engine.geometry.plane import plane
from service.engine.geometry.sheets import Sheet, sheets
from service.engine.survey.cavity import Cavity
from tests.builders import framing, layer, opening, stud_wall, wall

WINDOW = opening(left_m=2.0, sill_m=0.9, trim_mm=45, reveal_mm=20)
DOOR = opening(width_m=0.9, height_m=2.1, left_m=4.4, sill_m=0.0, trim_mm=45)
BLOCKED = (layer(140, framing(blocking_rows=1, blocking_mm=45)),)
GABLE = ((0.0, 1.0), (3.0, 2.5), (6.0, 1.0))


def laid_out(cavity: Cavity) -> tuple[Layout, list[Sheet], tuple[Lengths, ...]]:
    layout = layout_of(cavity=cavity)
    return layout, sheets(layout=layout), plane(cavity=cavity).lengths


def by_spaces(cavity: Cavity) -> Balanced:
    layout, stack, lengths = laid_out(cavity)
    groups = connected_spaces(layout=layout, stack=stack)
    return by_groups(layout=layout, groups=groups, lengths=lengths)


def assert_alike(found: Balanced, expected: Balanced) -> None:
    assert (found.bays, found.apart) == (expected.bays, expected.apart)
    assert {bay: list(at) for bay, at in found.in_bay.items()} == expected.in_bay
    for one, other in zip(astuple(found)[1:4], astuple(expected)[1:4], strict=True):
        for each, same in zip(one, other, strict=True):
            assert flat(each) == pytest.approx(flat(same))


def flat(figures: object) -> list[float]:
    if isinstance(figures, tuple):
        return [figure for each in figures for figure in flat(each)]
    assert isinstance(figures, float)
    return [figures]


@pytest.mark.parametrize("openings", [(), (WINDOW,), (WINDOW, DOOR)], ids=["plain", "window", "door"])
def test_a_wall_that_is_one_space_is_the_one_group_of_its_spaces(openings: tuple) -> None:
    cavity = wall(openings=openings)
    layout, stack, lengths = laid_out(cavity)
    clear_m2 = tuple(sum(sheet.clear_m2) for sheet in stack)
    assert_alike(as_one(layout=layout, stack=stack, clear_m2=clear_m2, lengths=lengths), by_spaces(cavity))


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"openings": (WINDOW, DOOR)},
        {"layers": BLOCKED, "openings": (WINDOW,)},
        {"profile_m": GABLE, "layers": BLOCKED},
    ],
    ids=["plain", "openings", "blocking", "gable"],
)
def test_the_bays_of_a_single_layer_are_the_groups_of_its_spaces(fields: dict) -> None:
    cavity = stud_wall(**fields)
    layout, (sheet,), lengths = laid_out(cavity)
    assert_alike(in_one_layer(layout=layout, sheet=sheet, lengths=lengths), by_spaces(cavity))


def test_where_an_opening_has_no_place_all_are_balanced_as_one_and_known_to_be_apart() -> None:
    found = by_spaces(stud_wall(openings=(opening(),)))
    assert found.bays == (tuple(range(1, 11)),)
    assert found.apart == tuple((bay,) for bay in range(1, 11))
    assert found.in_bay == {bay: [0] for bay in range(1, 11)}
