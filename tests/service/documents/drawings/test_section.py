"""The section of a cavity, to scale."""

from itertools import pairwise

import pytest

from service.documents.drawings.drawing import TIMBER
from service.documents.drawings.section import CUT_MM, DEEPEST_MM, section
from service.documents.wording.formats import Units
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Cavity
from tests import builders
from tests.service.documents import facts
from tests.service.documents.reading import drawing, lettering, named


def drawn(cavity: Cavity, market: str = "eu") -> str:
    return section(
        facts.plain(cavity), place=1, units=Units(market), title="Section", outside="outside", inside="inside"
    )


def members(svg: str) -> list[tuple[float, float, float, float]]:
    keys = ("x", "y", "width", "height")
    return [tuple(float(each.get(key) or 0) for key in keys) for each in named(svg, "rect", fill=TIMBER)]  # type: ignore[misc]


def test_layers_and_members_are_to_one_scale() -> None:
    # 145 + 120 + 95 mm deep, members 45 mm broad at 625 mm (the worked wall of engine.md).
    outer, inner = sorted(members(drawn(builders.wall())), key=lambda each: (each[1], each[0]))[::2]
    mm = outer[3] / 145
    assert outer[2] == pytest.approx(45 * mm, abs=0.01)
    assert inner[3] == pytest.approx(95 * mm, abs=0.01)
    assert inner[1] - outer[1] == pytest.approx((145 + 120) * mm, abs=0.01)
    assert 360 * mm <= DEEPEST_MM


def test_members_stand_at_their_spacing() -> None:
    svg = drawn(builders.stud_wall())
    first, second = members(svg)[:2]
    assert second[0] - first[0] == pytest.approx(600 * first[3] / 140, abs=0.01)


def test_leaves_that_are_not_aligned_stand_half_a_bay_apart() -> None:
    marks = members(drawn(builders.wall(leaves_aligned=False)))
    inner = [each for each in marks if each[1] > marks[0][1]]
    mm = marks[0][3] / 145
    assert inner[0][0] - marks[0][0] == pytest.approx(625 / 2 * mm, abs=0.01)


def test_members_that_run_across_or_were_not_measured_are_not_drawn() -> None:
    crossing = builders.layer(140, builders.framing(runs=Runs.ACROSS))
    assert members(drawn(builders.stud_wall(layers=(crossing,)))) == []
    assert members(drawn(builders.stud_wall(layers=(builders.layer(140, builders.fraction()),)))) == []


def test_every_depth_is_written_and_their_sum() -> None:
    assert lettering(drawn(builders.wall()))[:4] == ["145", "120", "95", "360 mm"]
    assert "14.2 in" in lettering(drawn(builders.wall(), "us"))


def test_outside_is_above_but_below_for_a_floor() -> None:
    assert lettering(drawn(builders.wall()))[-2:] == ["outside", "inside"]
    assert lettering(drawn(builders.floor()))[-2:] == ["inside", "outside"]


def test_a_narrow_cavity_is_drawn_whole() -> None:
    svg = drawn(builders.stud_wall(width_m=0.5))
    assert len(members(svg)) == 2
    assert max(x + width for x, _, width, _ in members(svg)) <= CUT_MM + 1


def test_thin_layers_do_not_write_over_one_another() -> None:
    thin = tuple(builders.layer(depth) for depth in (300, 10, 10, 12))
    svg = drawn(builders.wall(layers=thin))
    heights = [float(each.get("y") or 0) for each in named(svg, "text")][:4]
    assert all(lower - upper >= 2.8 for upper, lower in pairwise(heights))


def test_it_has_a_title() -> None:
    assert drawing(drawn(builders.wall()))[0].text == "Section"
