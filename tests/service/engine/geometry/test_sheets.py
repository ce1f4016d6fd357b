import pytest

from service.engine.geometry.layout import layout_of
from service.engine.geometry.sheets import Cell, sheets
from service.engine.survey.cavity import Cavity
from tests.builders import framing, layer, opening, wall


def cells(cavity: Cavity) -> list[list[Cell]]:
    return [sheet.cells for sheet in sheets(layout=layout_of(cavity=cavity))]


def test_each_layer_has_its_clear_spaces_and_the_filler_s_layer_has_bays():
    outer, gap, inner = cells(wall())
    assert [len(sheet) for sheet in (outer, gap, inner)] == [15, 1, 15]
    assert [cell[0].bay for cell in inner] == list(range(1, 16))
    assert {cell[0].bay for cell in outer + gap} == {None}


def test_an_open_layer_has_room_behind_the_plates_but_no_way():
    _, ((space,),), _ = cells(wall())
    assert space.area_m2 == pytest.approx(9.4 * 2.65)
    assert space.way == pytest.approx((0.0, 9.4, 0.045, 2.605))


def test_leaves_face_to_face_that_are_not_opposite_have_a_joint_without_depth():
    leaves = (layer(145, framing()), layer(95, framing()))
    aligned, apart = (cells(wall(layers=leaves, leaves_aligned=flag)) for flag in (True, False))
    assert [len(aligned), len(apart)] == [2, 3]
    assert apart[1][0][0].layer is None


def test_trim_closes_framed_layers_and_a_box_the_open_ones():
    window = opening(left_m=2.0, sill_m=0.9, trim_mm=45, reveal_mm=20)
    outer, gap, _ = cells(wall(openings=(window,)))
    gap_m2 = sum(space.area_m2 for cell in gap for space in cell)
    assert gap_m2 == pytest.approx(9.4 * 2.65 - 1.24 * 1.24)
    below = [space for cell in outer for space in cell if space.area.top_m == pytest.approx(0.855)]
    assert len(below) == 3
