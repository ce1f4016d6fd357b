"""Cavities of every shape against brute force and a polygon library: nothing here is worked out as there.

Each drawn cavity has one to three layers (open, regular, counted, measured or overlapping
members, a timber fraction), a straight edge, a gable, a hip, a slope or a step, and up to four
openings with trim and boxes, all in places of their own.
"""

from itertools import pairwise
from math import ceil
from random import Random

import numpy
import pytest
from shapely import MultiPolygon, Polygon, affinity, box, unary_union

from service.engine.geometry.compartments import compartments, parts
from service.engine.geometry.geometry import geometry
from service.engine.geometry.plane import plane
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Cavity, Framing, Layer, Opening
from service.errors import InvalidInput
from tests.builders import displaced, framing, layer, opening, stud_wall, wall

GRID_M = 0.005
STEP_M = GRID_M / 2
MANY = 320


def on_grid(random: Random, least_m: float, most_m: float) -> float:
    return round(GRID_M * random.randint(round(least_m / GRID_M), round(most_m / GRID_M)), 6)


def drawn_framing(random: Random, width_m: float, *, profiled: bool, counted: bool) -> Framing | None:
    kind = random.choice(["open", "grid", "grid", "placed", "fraction", "across"])
    kind = "counted" if counted and kind == "placed" else "grid" if profiled and kind == "across" else kind
    timber = {
        "member_mm": random.choice([40, 50, 60, 80]),
        "plates_mm": random.choice([0, 50, 90, 140]),
        "blocking_rows": random.choice([0, 0, 1, 2]),
    }
    timber["blocking_mm"] = 50 if timber["blocking_rows"] else 0
    if kind == "open":
        return None
    if kind == "fraction":
        return Framing(timber_fraction=random.choice([0.05, 0.15, 0.25]))
    if kind == "placed":
        starts = sorted({on_grid(random, 0, width_m - 0.08) for _ in range(random.randint(1, 12))})
        return Framing(**timber, members_at_m=tuple(starts))
    if kind == "counted":
        return Framing(**timber, members=random.randint(2, 12))
    runs = Runs.ACROSS if kind == "across" else Runs.ALONG
    return Framing(**timber, spacing_mm=random.choice([400, 600, 625, 800]), runs=runs)


def drawn_profile(random: Random, width_m: float, span_m: float) -> tuple[tuple[float, float], ...]:
    low, middle = on_grid(random, 0.0, span_m), on_grid(random, 0.5, width_m - 0.5)
    return random.choice(
        [
            (),
            (),
            ((0.0, low), (middle, span_m), (width_m, low)),
            ((0.0, 0.0), (middle, span_m), (width_m, 0.0)),
            ((0.0, low), (width_m, span_m)),
            ((0.0, low), (middle, low), (middle, span_m), (width_m, span_m)),
            ((0.0, span_m), (middle, low), (width_m, span_m)),
        ]
    )


def drawn_openings(random: Random, width_m: float, span_m: float) -> tuple[Opening, ...]:
    found = []
    for _ in range(random.choice([0, 0, 1, 2, 4])):
        size = {"width_m": on_grid(random, 0.2, 1.6), "height_m": on_grid(random, 0.2, 1.8)}
        left_m = on_grid(random, 0, max(0.0, width_m - size["width_m"]))
        sill_m = on_grid(random, 0, max(0.0, span_m - size["height_m"]))
        trim_mm, reveal_mm = random.choice([0, 45, 60]), random.choice([0, 20])
        found.append(Opening(**size, left_m=left_m, sill_m=sill_m, trim_mm=trim_mm, reveal_mm=reveal_mm))
    return tuple(found)


def drawn(random: Random, *, counted: bool) -> Cavity:
    """A cavity that can be; draws again until one is."""
    while True:
        width_m, span_m = on_grid(random, 1.5, 6.0), on_grid(random, 1.5, 3.0)
        profile_m = drawn_profile(random, width_m, span_m)
        cavity = wall(
            width_m=width_m,
            span_m=span_m,
            profile_m=profile_m,
            layers=tuple(
                Layer(
                    depth_mm=random.choice([80, 145, 200]),
                    framing=drawn_framing(random, width_m, profiled=bool(profile_m), counted=counted),
                )
                for _ in range(random.choice([1, 1, 2, 3]))
            ),
            openings=drawn_openings(random, width_m, span_m),
            leaves_aligned=random.random() < 0.5,
        )
        try:
            plane(cavity=cavity)
        except InvalidInput:
            continue
        return cavity


def starts_m(framing: Framing, across_m: float) -> list[float]:
    """The members' left edges, set out by hand as the survey says them."""
    member_m = framing.member_mm / 1000
    if framing.members_at_m:
        return list(framing.members_at_m)
    if framing.members:
        return [index * (across_m - member_m) / (framing.members - 1) for index in range(framing.members)]
    bays = ceil(round((across_m - member_m) / (framing.spacing_mm / 1000), 9))
    return [index * framing.spacing_mm / 1000 for index in range(bays)] + [across_m - member_m]


def corners(cavity: Cavity) -> tuple[tuple[float, float], ...]:
    return cavity.profile_m or ((0.0, cavity.span_m), (cavity.width_m, cavity.span_m))


def ring(each: Opening, past_mm: float) -> tuple[float, float, float, float]:
    past_m = past_mm / 1000
    return (
        each.left_m - past_m,
        each.sill_m - past_m,
        each.left_m + each.width_m + past_m,
        each.sill_m + each.height_m + past_m,
    )


def timber_boxes(framing: Framing, width_m: float, span_m: float) -> list[tuple[float, float, float, float]]:
    """Members and blocking of a layer that runs along, as boxes of the full height."""
    member_m, plates_m, rows = framing.member_mm / 1000, framing.plates_mm / 1000, framing.blocking_rows
    block_m = framing.blocking_mm / 1000
    clear_m = (span_m - plates_m - rows * block_m) / (rows + 1)
    rows_at = [plates_m / 2 + (row + 1) * clear_m + row * block_m for row in range(rows)]
    return [
        *((start, 0.0, start + member_m, span_m) for start in starts_m(framing, width_m)),
        *((0.0, bottom, width_m, bottom + block_m) for bottom in rows_at),
    ]


# A polygon library.


def region(cavity: Cavity) -> Polygon:
    return Polygon([(0, 0), *corners(cavity), (cavity.width_m, 0)]).buffer(0)


def turned(shape: Polygon) -> Polygon:
    return affinity.affine_transform(shape, [0, 1, 1, 0, 0, 0])


def clear_polygon(cavity: Cavity, framed: Framing) -> Polygon:
    """What members, plates and blocking leave, before openings; of a layer that runs along."""
    width_m, span_m, plate_m = cavity.width_m, cavity.span_m, framed.plates_mm / 2000
    deep = Polygon([(0, -9), *corners(cavity), (width_m, -9)]).buffer(0)
    between = affinity.translate(deep, 0, -plate_m).intersection(box(0, plate_m, width_m, span_m))
    return between.difference(unary_union([box(*each) for each in timber_boxes(framed, width_m, span_m)]))


def polygon_of(cavity: Cavity, each: Layer) -> Polygon:
    """The clear polygon of a layer; of a timber fraction what openings and trim leave."""
    past = [ring(o, o.reveal_mm if each.framing is None else o.trim_mm) for o in cavity.openings]
    holes = unary_union([box(*bounds) for bounds in past])
    if each.framing is None or each.framing.timber_fraction is not None:
        return region(cavity).difference(holes)
    if each.framing.runs is Runs.ALONG:
        return clear_polygon(cavity, each.framing).difference(holes)
    across = wall(width_m=cavity.span_m, span_m=cavity.width_m)
    return turned(clear_polygon(across, each.framing)).difference(holes)


def net_m2(cavity: Cavity, each: Layer, clear_m2: float) -> float:
    if each.framing is None or each.framing.timber_fraction is None:
        return clear_m2
    insulated_m2 = region(cavity).area - sum(o.width_m * o.height_m for o in cavity.openings)
    return insulated_m2 * (1 - each.framing.timber_fraction) - (insulated_m2 - clear_m2)


@pytest.mark.parametrize("seed", range(8))
def test_areas_and_volumes_are_those_of_a_polygon_library(seed: int) -> None:
    random = Random(seed)
    for _ in range(MANY // 8):
        cavity = drawn(random, counted=random.random() < 0.3 and seed % 2 == 0)
        found = geometry(cavity=cavity)
        areas = [net_m2(cavity, each, polygon_of(cavity, each).area) for each in cavity.layers]
        assert [each.net_area_m2 for each in found.layers] == pytest.approx(areas, rel=1e-9), cavity
        depths = (each.depth_mm / 1000 for each in cavity.layers)
        volume_m3 = sum(depth * area for depth, area in zip(depths, areas, strict=True))
        assert found.net_volume_m3 == pytest.approx(volume_m3, rel=1e-9), cavity
        assert found.gross_area_m2 == pytest.approx(region(cavity).area, rel=1e-9)
        spaces = compartments(cavity=cavity)
        assert sum(each.net_volume_m3 for each in spaces) == pytest.approx(volume_m3, rel=1e-9)


@pytest.mark.parametrize("seed", range(100, 108))
def test_compartments_of_one_leaf_are_the_polygons_that_hang_together(seed: int) -> None:
    random = Random(seed)
    seen = 0
    while seen < 30:
        cavity = drawn(random, counted=False)
        leaf = cavity.layers[0]
        if len(cavity.layers) > 1 or leaf.framing is None or leaf.framing.timber_fraction is not None:
            continue
        seen += 1
        whole = polygon_of(cavity, leaf)
        pieces = whole.geoms if isinstance(whole, MultiPolygon) else [whole]
        expected = sorted(each.area * leaf.depth_mm / 1000 for each in pieces if each.area > 1e-9)
        volumes = sorted(each.net_volume_m3 for each in compartments(cavity=cavity))
        assert volumes == pytest.approx(expected, rel=1e-9), cavity
        parts_m2 = sum(each.area_m2 for each in parts(cavity=cavity))
        assert parts_m2 * leaf.depth_mm / 1000 >= sum(expected) * (1 - 1e-9)


# Brute force: a raster of squares of 2.5 mm, each of which is timber, opening, outside or clear.


def raster(cavity: Cavity, each: Layer) -> float:
    """The clear area of a layer, square by square; looked at off their middles, where no edge lies."""
    x = numpy.arange(0.47 * STEP_M, cavity.width_m, STEP_M)[:, None]
    y = numpy.arange(0.47 * STEP_M, cavity.span_m, STEP_M)[None, :]
    edge, middle = numpy.zeros_like(x), x + 0.03 * STEP_M
    for (left, low), (right, high) in pairwise(corners(cavity)):
        if right > left:
            inside = (middle >= left) & (middle < right)
            edge = numpy.where(inside, low + (high - low) * (middle - left) / (right - left), edge)
    framed = each.framing
    clear = y < edge
    if framed is not None and framed.timber_fraction is None:
        along, across = (y, x) if framed.runs is Runs.ALONG else (x, y)
        top = edge if framed.runs is Runs.ALONG else cavity.width_m
        sizes = (cavity.width_m, cavity.span_m)
        across_m, along_m = sizes if framed.runs is Runs.ALONG else sizes[::-1]
        clear &= (along >= framed.plates_mm / 2000) & (along < top - framed.plates_mm / 2000)
        for left, bottom, right, upper in timber_boxes(framed, across_m, along_m):
            clear &= ~((across >= left) & (across < right) & (along >= bottom) & (along < upper))
    for o in cavity.openings:
        left, bottom, right, upper = ring(o, o.reveal_mm if framed is None else o.trim_mm)
        clear &= ~((x >= left) & (x < right) & (y >= bottom) & (y < upper))
    return float(clear.sum()) * STEP_M**2


@pytest.mark.parametrize("seed", range(200, 208))
def test_volumes_are_those_of_a_raster(seed: int) -> None:
    """To a thousandth of what the cavity would hold without timber and openings."""
    random = Random(seed)
    for _ in range(MANY // 8):
        cavity = drawn(random, counted=False)
        found = geometry(cavity=cavity)
        volume_m3 = sum(
            each.depth_mm / 1000 * net_m2(cavity, each, raster(cavity, each)) for each in cavity.layers
        )
        assert found.net_volume_m3 == pytest.approx(volume_m3, abs=1e-3 * found.gross_volume_m3), cavity


# By hand.


def test_a_wall_with_two_large_windows_is_not_certified_by_proportion() -> None:
    """The wall of 6.2 x 2.7 m: its bays under, over and between the windows, each by its own rectangle."""
    windows = tuple(
        opening(width_m=2.0, height_m=1.4, left_m=left, sill_m=0.9, trim_mm=60) for left in (0.66, 3.54)
    )
    framed = layer(160, framing(member_mm=60, spacing_mm=600, plates_mm=120))
    cavity = stud_wall(width_m=6.2, span_m=2.7, layers=(framed,), openings=windows)
    by_label = {each.label: each.net_volume_m3 for each in compartments(cavity=cavity)}
    assert by_label["W2/1"] == pytest.approx(0.16 * 0.54 * 2.58)
    assert by_label["W2/2.1"] == pytest.approx(0.16 * 0.54 * (0.84 - 0.06))
    assert by_label["W2/2.2"] == pytest.approx(0.16 * 0.54 * (2.64 - 2.36))


def test_a_bay_that_a_door_does_not_touch_keeps_its_volume() -> None:
    """Wall 4.0 x 2.5 m, 160 framed (60 @ 600, plates 120), a door 1.2 x 2.5 m at 1.2 m from the left."""
    cavity = stud_wall(
        width_m=4.0,
        layers=(layer(160, framing(member_mm=60, spacing_mm=600, plates_mm=120)),),
        openings=(opening(width_m=1.2, height_m=2.5, left_m=1.2, sill_m=0.0),),
    )
    first = compartments(cavity=cavity)[0]
    assert first.net_volume_m3 == pytest.approx(0.205632, abs=5e-7)


def test_a_gable_by_hand() -> None:
    """9.0 m wide, 2.6 m at the eaves and 5.4 m at the ridge, open: a trapezoid on each side."""
    gable = ((0.0, 2.6), (4.5, 5.4), (9.0, 2.6))
    cavity = wall(width_m=9.0, span_m=5.4, profile_m=gable, layers=(layer(200),))
    found = geometry(cavity=cavity)
    assert found.net_area_m2 == pytest.approx(9.0 * (2.6 + 5.4) / 2)
    assert found.net_volume_m3 == pytest.approx(0.2 * 36.0)


def test_plates_follow_the_edge_and_end_where_it_runs_out() -> None:
    """A triangle of 4 x 2 m: plates of 50 mm below and along the slope leave a similar one, 1.9 m high."""
    leaf = framing(member_mm=0.1, spacing_mm=10_000, plates_mm=100)
    cavity = wall(width_m=4.0, span_m=2.0, profile_m=((0, 0), (2, 2), (4, 0)), layers=(layer(100, leaf),))
    found = geometry(cavity=cavity).layers[0]
    assert found.net_area_m2 == pytest.approx(1.9 * 1.9, rel=1e-3)


def test_what_is_displaced_in_a_known_bay_is_taken_from_it_alone() -> None:
    plain = compartments(cavity=stud_wall())
    piped = compartments(cavity=stud_wall(displaced=displaced(0.02, bay=3)))
    less = [one.net_volume_m3 - other.net_volume_m3 for one, other in zip(plain, piped, strict=True)]
    assert less == pytest.approx([0.0] * 2 + [0.02] + [0.0] * 7)


@pytest.mark.parametrize(
    ("taken", "pointer"),
    [
        (displaced(0.02, bay=11), "/displaced/0/bay"),
        (displaced(0.2, bay=3), "/displaced/0/volume_m3"),
        (displaced(1.9), "/displaced"),
    ],
)
def test_more_than_there_is_cannot_be_displaced(taken: tuple, pointer: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        compartments(cavity=stud_wall(displaced=taken))
    assert [fault.pointer for fault in refused.value.faults] == [pointer]


def test_a_number_of_members_is_not_enough_where_bays_are_separate() -> None:
    counted = layer(140, framing(spacing_mm=None, members=11))
    with pytest.raises(InvalidInput) as refused:
        geometry(cavity=stud_wall(layers=(counted,)))
    assert [fault.pointer for fault in refused.value.faults] == ["/layers/0/framing/members"]
    shared = wall(layers=(counted, layer(120)))
    assert geometry(cavity=shared).layers[0].members == 11


def test_volume_never_falls_as_a_wall_grows_by_a_millimetre() -> None:
    """Nothing is moved or merged where members come to overlap at the far edge."""
    widths = [2.0 + millimetre / 1000 for millimetre in range(1300)]
    volumes = [geometry(cavity=stud_wall(width_m=width_m)).net_volume_m3 for width_m in widths]
    assert all(later >= earlier - 1e-12 for earlier, later in pairwise(volumes))
    assert volumes[-1] > volumes[0]


@pytest.mark.parametrize("sill_m", [0.9, 0.0])
@pytest.mark.parametrize("beside", [(), (opening(width_m=0.9, height_m=2.1, left_m=4.6, sill_m=0.0),)])
def test_an_opening_without_a_place_is_what_it_is_on_average(
    sill_m: float, beside: tuple[Opening, ...]
) -> None:
    """A window slid along the wall.

    The rule is near the mean (it counts the members at the edges too), and no place is farther
    from it than a member over the height of the opening with its trim.
    """
    window = opening(sill_m=sill_m, trim_mm=45)
    unplaced = geometry(cavity=stud_wall(openings=(window, *beside))).net_volume_m3
    volumes = []
    for millimetre in range(600, 3300, 7):
        placed = opening(left_m=millimetre / 1000, sill_m=sill_m, trim_mm=45)
        volumes.append(geometry(cavity=stud_wall(openings=(placed, *beside))).net_volume_m3)
    member_m3 = 0.14 * 0.045 * 1.29
    assert numpy.mean(volumes) == pytest.approx(unplaced, abs=0.25 * member_m3)
    assert max(abs(volume - unplaced) for volume in volumes) < 1.1 * member_m3
