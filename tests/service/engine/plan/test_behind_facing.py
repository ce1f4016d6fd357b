"""Holes miss the timber behind the facing: noggings of the inner leaf, battens that cross it."""

import pytest

from service.engine.geometry.compartments import parts
from service.engine.geometry.layout import upright
from service.engine.ground.vocabulary import Runs
from service.engine.plan.behind_facing import clear_of_timber
from service.engine.plan.holes import CUT_TO_TIMBER, Size, place, sized
from tests import builders

SLIT = Size(65, 200)


def placed(cavity, size: Size = SLIT, reach_m: float | None = None):
    own = parts(cavity=cavity)
    holes = place(parts=sized(parts=own), hole=size, reach_m=reach_m, tool_mm=50)
    clear = clear_of_timber(holes=holes, parts=own, cavity=cavity, standing=upright(cavity=cavity))
    return holes, clear


def nogged(**fields):
    """A twin-stud wall 2.65 m high whose inner leaf has one row of blocking, 45 mm at half its height."""
    inner = builders.framing(blocking_rows=1, blocking_mm=45)
    layers = (builders.layer(145, builders.framing()), builders.layer(120), builders.layer(95, inner))
    return builders.wall(layers=layers, **fields)


def test_a_slit_stands_clear_of_a_nogging() -> None:
    """The nogging takes 1.3025 to 1.3475 m: 200 mm fit right under it, no further off than over it."""
    before, after = placed(nogged())
    assert {round(hole.height_m, 6) for hole in before} == {1.325}
    assert {round(abs(hole.height_m - 1.325), 4) for hole in after} == {0.1225}
    assert [hole.x_m for hole in after] == [hole.x_m for hole in before]
    assert {hole.note for hole in after} == {None}


def test_what_misses_the_timber_stays_where_it_is() -> None:
    before, after = placed(nogged(), reach_m=0.6)
    assert len(before) == 3 * 15
    moved = {round(one.height_m, 3) for one, other in zip(before, after, strict=True) if one != other}
    assert moved == {1.325}
    for cavity in (builders.wall(), builders.floor(), builders.roof_slope()):
        before, after = placed(cavity)
        assert before == after


def test_a_hole_stands_between_battens_that_cross_the_bays() -> None:
    """Battens of 60 mm at 400 mm across the studs: that of 1.2 m is where half the height would be."""
    battens = builders.framing(member_mm=60, spacing_mm=400, plates_mm=0, runs=Runs.ACROSS)
    layers = (builders.layer(160, builders.framing()), builders.layer(60, battens))
    _, after = placed(builders.wall(span_m=2.46, layers=layers))
    starts_m = [0.4 * number for number in range(6)] + [2.4]
    for hole in after:
        low_m, high_m = hole.height_m - 0.1, hole.height_m + 0.1
        assert all(high_m <= start + 1e-9 or low_m >= start + 0.06 - 1e-9 for start in starts_m)


def test_a_hole_that_fits_nowhere_between_them_is_cut_to_them() -> None:
    battens = builders.framing(member_mm=60, spacing_mm=200, plates_mm=0, runs=Runs.ACROSS)
    layers = (builders.layer(160, builders.framing()), builders.layer(60, battens))
    _, after = placed(builders.wall(span_m=2.46, layers=layers))
    assert {round(hole.height_mm, 6) for hole in after} == {140}
    assert {hole.note for hole in after} == {CUT_TO_TIMBER}


def test_in_a_cavity_whose_members_run_across_it_moves_sideways() -> None:
    wall = nogged()
    turned = builders.wall(
        width_m=wall.span_m,
        span_m=wall.width_m,
        layers=tuple(
            builders.layer(
                layer.depth_mm,
                layer.framing
                and builders.framing(
                    runs=Runs.ACROSS,
                    blocking_rows=layer.framing.blocking_rows,
                    blocking_mm=layer.framing.blocking_mm,
                ),
            )
            for layer in wall.layers
        ),
    )
    _, upright_holes = placed(wall)
    _, across = placed(turned, Size(200, 65))
    assert [hole.x_m for hole in across] == pytest.approx([hole.height_m for hole in upright_holes])
    assert [hole.height_m for hole in across] == pytest.approx([hole.x_m for hole in upright_holes])
