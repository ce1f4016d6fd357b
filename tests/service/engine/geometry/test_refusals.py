from math import inf, nan

import pytest

from service.documents.wording.sentences import in_words
from service.engine.geometry.geometry import geometry
from service.engine.geometry.refusals import refuse
from service.engine.ground.vocabulary import Element, Fill, Runs
from service.errors import InvalidInput
from tests.builders import attic, displaced, floor, framing, layer, opening, roof_slope, stud_wall, wall


def pointers(cavity):
    with pytest.raises(InvalidInput) as refused:
        refuse(cavity=cavity)
    assert all(in_words(fault.detail).endswith(".") for fault in refused.value.faults)
    return [fault.pointer for fault in refused.value.faults]


def framed(**fields):
    return stud_wall(layers=(layer(140, framing(**fields)),))


@pytest.mark.parametrize(
    ("cavity", "pointer"),
    [
        (wall(layers=()), "/layers"),
        (wall(layers=(layer(),) * 7), "/layers"),
        (wall(openings=(opening(width_m=0.1, height_m=0.1),) * 51), "/openings"),
        (wall(count=0), "/count"),
        (wall(count=10_001), "/count"),
        (wall(fill=Fill.OPEN), "/fill"),
        (wall(pitch_deg=38), "/pitch_deg"),
        (attic(pitch_deg=0), "/pitch_deg"),
        (roof_slope(pitch_deg=90), "/pitch_deg"),
        (roof_slope(pitch_deg=-1), "/pitch_deg"),
        (roof_slope(pitch_deg=nan), "/pitch_deg"),
        (attic(layers=(layer(300),), dividers=True), "/dividers"),
    ],
)
def test_a_field_that_cannot_be(cavity, pointer):
    assert pointers(cavity) == [pointer]


@pytest.mark.parametrize(
    ("cavity", "pointer"),
    [
        (framed(member_mm=5900, spacing_mm=6000), "/layers/0/framing/member_mm"),
        (framed(member_mm=6000, spacing_mm=6100), "/layers/0/framing/member_mm"),
        (framed(member_mm=9000, spacing_mm=9100), "/layers/0/framing/member_mm"),
        (framed(member_mm=599.9999, spacing_mm=600), "/layers/0/framing/member_mm"),
        (framed(member_mm=1, spacing_mm=10), "/layers/0/framing/spacing_mm"),
        (framed(blocking_rows=60, blocking_mm=1), "/layers/0/framing/spacing_mm"),
        (framed(plates_mm=2500), "/layers/0/framing/plates_mm"),
        (framed(plates_mm=90, blocking_rows=2, blocking_mm=1205), "/layers/0/framing/blocking_mm"),
    ],
)
def test_timber_that_does_not_fit(cavity, pointer):
    assert pointers(cavity) == [pointer]


@pytest.mark.parametrize(
    ("openings", "expected"),
    [
        ([opening(width_m=6.1)], ["/openings/0/width_m"]),
        ([opening(), opening(height_m=2.6)], ["/openings/1/height_m"]),
        ([opening(count=11)], ["/openings"]),
        ([opening(width_m=6.0, height_m=2.5, left_m=0.0, sill_m=0.0)], ["/openings"]),
        ([opening(left_m=4.9, sill_m=0.9)], ["/openings/0/left_m"]),
        ([opening(left_m=1.0, sill_m=1.4)], ["/openings/0/sill_m"]),
        ([opening(left_m=1.0, sill_m=0.9), opening(left_m=2.1, sill_m=0.9)], ["/openings/1"]),
    ],
)
def test_openings_that_do_not_fit(openings, expected):
    assert pointers(stud_wall(openings=tuple(openings))) == expected


def test_openings_may_stand_edge_to_edge():
    side_by_side = (opening(left_m=1.0, sill_m=0.9), opening(left_m=2.2, sill_m=0.9))
    assert geometry(cavity=stud_wall(openings=side_by_side)).net_area_m2 == pytest.approx(15 - 2.88)


def test_an_opening_may_reach_the_edge_of_the_cavity():
    door = opening(width_m=0.9, height_m=2.1, left_m=5.1, sill_m=0.0)
    assert geometry(cavity=stud_wall(openings=(door,))).net_area_m2 == pytest.approx(15 - 1.89)


def test_faults_are_named_together():
    cavity = wall(
        width_m=0, layers=(layer(-1), layer(100, framing(member_mm=700))), openings=(opening(width_m=nan),)
    )
    assert pointers(cavity) == [
        "/width_m",
        "/layers/0/depth_mm",
        "/layers/1/framing/member_mm",
        "/openings/0/width_m",
    ]


def test_contradictions_are_named_together():
    cavity = stud_wall(
        layers=(layer(140, framing(plates_mm=2600)), layer(100, framing(member_mm=6000, spacing_mm=6100))),
        openings=(opening(width_m=7),),
    )
    assert pointers(cavity) == [
        "/layers/0/framing/plates_mm",
        "/layers/1/framing/member_mm",
        "/openings/0/width_m",
    ]


def test_more_crossings_than_any_building_has_are_refused():
    """100 bays of 100 mm each way are 10 000; one bay more is too many."""
    along, across = (framing(member_mm=10, spacing_mm=100, plates_mm=0, runs=runs) for runs in Runs)
    crossed = (layer(100, along), layer(100, across))
    refuse(cavity=wall(width_m=10.01, span_m=10.01, layers=crossed))
    assert pointers(wall(width_m=10.11, span_m=10.01, layers=crossed)) == ["/layers"]


SIZES = {
    "/width_m": lambda value: wall(width_m=value),
    "/span_m": lambda value: wall(span_m=value),
    "/layers/0/depth_mm": lambda value: wall(layers=(layer(value),)),
    "/layers/0/framing/member_mm": lambda value: framed(member_mm=value),
    "/layers/0/framing/spacing_mm": lambda value: framed(spacing_mm=value),
    "/layers/0/framing/conductivity_w_mk": lambda value: framed(conductivity_w_mk=value),
    "/openings/0/width_m": lambda value: wall(openings=(opening(width_m=value),)),
    "/openings/0/height_m": lambda value: wall(openings=(opening(height_m=value),)),
}
SIZES_OR_NOUGHT = {
    "/displaced/0/volume_m3": lambda value: wall(displaced=displaced(value)),
    "/layers/0/framing/plates_mm": lambda value: framed(plates_mm=value),
    "/layers/0/framing/blocking_mm": lambda value: framed(blocking_rows=1, blocking_mm=value),
    "/openings/0/trim_mm": lambda value: wall(openings=(opening(trim_mm=value),)),
    "/openings/0/left_m": lambda value: wall(openings=(opening(left_m=value, sill_m=0),)),
    "/openings/0/sill_m": lambda value: wall(openings=(opening(left_m=0, sill_m=value),)),
}


@pytest.mark.parametrize("value", [nan, inf, -inf, -1.0, 1e308])
@pytest.mark.parametrize("pointer", SIZES | SIZES_OR_NOUGHT)
def test_no_size_is_below_nought_endless_or_no_number(pointer, value):
    assert pointers((SIZES | SIZES_OR_NOUGHT)[pointer](value)) == [pointer]


@pytest.mark.parametrize("value", [0.0, 5e-324])
@pytest.mark.parametrize("pointer", SIZES)
def test_no_size_is_nought(pointer, value):
    assert pointers(SIZES[pointer](value)) == [pointer]


@pytest.mark.parametrize(
    "cavity", [wall(), stud_wall(), floor(), roof_slope(pitch_deg=None), roof_slope(pitch_deg=0), attic()]
)
def test_what_is_built_every_day_is_not_refused(cavity):
    refuse(cavity=cavity)


def test_a_floor_may_be_blown_open():
    refuse(cavity=floor(fill=Fill.OPEN, element=Element.FLOOR))
