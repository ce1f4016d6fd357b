"""The elevation of a cavity: bays, openings, holes and samples where they are."""

import re
from typing import Any

import pytest

from service.documents.drawings.drawing import FILL, INK, PAPER, TIMBER
from service.documents.drawings.elevation import drawn_mm, elevation, house_scale
from service.documents.wording.formats import Units
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Cavity
from tests import builders
from tests.service.documents import facts
from tests.service.documents.reading import lettering, named


def drawn(cavity: Cavity, holes: list[dict[str, Any]] = [], sampled: tuple[int, ...] = ()) -> str:  # noqa: B006
    return elevation(facts.plain(cavity), holes=holes, sampled=sampled, units=Units("eu"), title="Elevation")


def boxes(svg: str, fill: str) -> list[tuple[float, ...]]:
    """Every rectangle of this fill, drawn alone or with others: its x, y, width and height."""
    keys = ("x", "y", "width", "height")
    alone = [tuple(float(each.get(key) or 0) for key in keys) for each in named(svg, "rect", fill=fill)]
    together = [
        tuple(float(number) for number in box)
        for path in named(svg, "path", fill=fill)
        for box in re.findall(r"M([^ ]+) ([^h]+)h([^v]+)v([^h]+)h[^z]+z", path.get("d") or "")
    ]
    return alone + together


def dots(svg: str) -> int:
    """Strokes of no length with round ends: the sub-paths of that path."""
    return sum((path.get("d") or "").count("h0") for path in named(svg, "path", stroke_linecap="round"))


def a_row(
    count: int, height_m: float = 1.3, first_m: float = 0.3, step_m: float = 0.6
) -> list[dict[str, Any]]:
    return [{"number": i + 1, "x_m": first_m + i * step_m, "height_m": height_m} for i in range(count)]


def test_bays_are_those_of_the_geometry() -> None:
    # 9.4 m, members of 45 mm at 625 mm: 16 members, 15 bays of 580 mm, the last one narrower (engine.md).
    spaces = boxes(drawn(builders.wall()), FILL)
    per_m = spaces[0][2] / 0.580
    assert len(spaces) == 15
    assert spaces[0][0] - 15 == pytest.approx(0.045 * per_m, abs=0.01)
    assert spaces[-1][2] == pytest.approx((9.4 - 0.045 - 14 * 0.625 - 0.045) * per_m, abs=0.01)
    assert spaces[0][3] == pytest.approx((2.65 - 0.09) * per_m, abs=0.01)


def test_blocking_cuts_the_bays() -> None:
    assert len(boxes(drawn(builders.floor()), FILL)) == 2 * 11


def test_bays_lie_on_one_another_where_all_members_run_across() -> None:
    lying = builders.layer(140, builders.framing(runs=Runs.ACROSS))
    spaces = boxes(drawn(builders.stud_wall(layers=(lying,))), FILL)
    assert len({x for x, *_ in spaces}) == 1
    assert len({y for _, y, *_ in spaces}) == len(spaces) == 4


def test_an_opening_is_drawn_where_it_is_or_not_at_all() -> None:
    placed = builders.opening(width_m=1.4, height_m=1.2, left_m=2.6, sill_m=0.9, trim_mm=45)
    svg = drawn(builders.wall(openings=(placed, builders.opening())))
    (pane,) = boxes(svg, PAPER)
    per_m = boxes(svg, FILL)[0][2] / 0.580
    assert pane[0] - 15 == pytest.approx(2.6 * per_m, abs=0.01)
    assert pane[1] - 6 == pytest.approx((2.65 - 0.9 - 1.2) * per_m, abs=0.01)
    assert pane[2] == pytest.approx(1.4 * per_m, abs=0.01)


def test_holes_are_numbered_rings_at_their_place() -> None:
    svg = drawn(builders.wall(), holes=a_row(15))
    rings = list(named(svg, "circle", fill=PAPER))
    per_m = boxes(svg, FILL)[0][2] / 0.580
    assert len(rings) == 15
    assert float(rings[1].get("cx") or 0) - 15 == pytest.approx(0.9 * per_m, abs=0.01)
    assert float(rings[1].get("cy") or 0) - 6 == pytest.approx((2.65 - 1.3) * per_m, abs=0.01)
    assert {"1", "15"} <= set(lettering(svg))


def test_rings_never_cover_one_another() -> None:
    two_rows = [*a_row(15, 0.5), *a_row(15, 2.0)]
    zigzag = [two_rows[i // 2 + 15 * (i % 2)] | {"number": i + 1} for i in range(30)]
    rings = list(named(drawn(builders.wall(), holes=zigzag), "circle"))
    places = [
        (float(each.get("cx") or 0), float(each.get("cy") or 0), float(each.get("r") or 0)) for each in rings
    ]
    assert all(
        (ax - bx) ** 2 + (ay - by) ** 2 >= (ar + br) ** 2
        for i, (ax, ay, ar) in enumerate(places)
        for bx, by, br in places[i + 1 :]
    )


def test_holes_that_stand_close_are_dots_with_every_fifth_number() -> None:
    wide = builders.wall(width_m=24, layers=(builders.layer(140, builders.framing(spacing_mm=300)),))
    svg = drawn(wide, holes=a_row(80, first_m=0.15, step_m=0.3))
    assert dots(svg) == 80
    bold = [each.text for each in named(svg, "text", font_weight="600")]
    assert bold == ["1", *(str(number) for number in range(5, 81, 5))]


def test_a_hole_that_the_plan_does_not_have_is_told_in_a_ring_and_beside_a_dot() -> None:
    besides: dict[str, Any] = {"number": None, "x_m": 1.0, "height_m": 2.2}
    few = drawn(builders.wall(), holes=[*a_row(15), besides])
    wide = builders.wall(width_m=24, layers=(builders.layer(140, builders.framing(spacing_mm=300)),))
    many = drawn(wide, holes=[*a_row(80, first_m=0.15, step_m=0.3), besides])
    assert (len(list(named(few, "circle"))), dots(many)) == (16, 81)
    assert "+" in lettering(few)
    assert "+" in lettering(many)


def test_the_elevations_of_a_house_have_one_scale() -> None:
    cavities = [facts.plain(builders.wall(width_m=width)) for width in (4.0, 11.2)]
    scale = house_scale(cavities)
    widths = []
    for cavity in cavities:
        svg = elevation(cavity, holes=(), sampled=(), units=Units("eu"), title="Elevation", scale=scale)
        (whole,) = (box for box in boxes(svg, TIMBER) if box[0] == 15)
        widths.append(whole[2])
    assert widths == pytest.approx([4.0 * scale, 11.2 * scale], abs=0.01)
    assert max(widths) <= 84


def test_a_sampled_bay_has_a_lozenge_below_its_number() -> None:
    svg = drawn(builders.wall(), sampled=(3, 15))
    lozenges = [each.get("d") or "" for each in named(svg, "path", fill=INK)]
    spaces = boxes(svg, FILL)
    middles = [spaces[bay - 1][0] + spaces[bay - 1][2] / 2 for bay in (3, 15)]
    assert [float(each[1:].split()[0]) for each in lozenges] == pytest.approx(middles, abs=0.01)


def test_both_sizes_are_written() -> None:
    assert {"9.40 m", "2.65 m"} <= set(lettering(drawn(builders.wall())))


def test_a_gable_is_drawn_under_its_edge_and_its_bays_with_it() -> None:
    gable = ((0.0, 1.5), (3.0, 2.5), (6.0, 1.5))
    svg = drawn(builders.stud_wall(profile_m=gable))
    (whole,) = named(svg, "path", fill=TIMBER)
    corners = re.findall(r"([0-9.]+) ([0-9.]+)", whole.get("d") or "")
    assert len(corners) == 2 + 4
    (bays,) = named(svg, "path", fill=FILL)
    assert (bays.get("d") or "").count("z") == 10


def test_counted_members_stand_where_they_were_measured() -> None:
    starts = (0.0, 0.7, 0.745, 2.0, 5.955)
    measured = builders.layer(140, builders.framing(spacing_mm=None, members_at_m=starts))
    spaces = boxes(drawn(builders.stud_wall(layers=(measured,))), FILL)
    assert len(spaces) == 3


@pytest.mark.parametrize("runs", [*Runs])
def test_a_drawing_is_as_wide_as_is_said_beforehand(runs: Runs) -> None:
    cavity = facts.plain(builders.wall(layers=(builders.layer(200, builders.framing(runs=runs)),)))
    svg = elevation(cavity, holes=[], sampled=(), units=Units("eu"), title="Elevation", scale=9.0)
    wide = re.search(r'viewBox="0 0 ([0-9.]+) ', svg)
    assert wide
    assert float(wide[1]) == pytest.approx(drawn_mm(cavity, 9.0), abs=0.01)
