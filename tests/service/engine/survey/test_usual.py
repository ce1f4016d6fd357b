"""A usual framing holds for its element and depths; its cases are all over what it may be."""

from dataclasses import replace

from service.engine.ground.vocabulary import Element, Facing, Standing
from service.engine.survey.usual import Usual, UsualFraming, UsualLayer, UsualMembers, cases

STUDS = UsualFraming(
    name="Studs",
    element=Element.WALL,
    facing=Facing.BOARD,
    layers=(UsualLayer(depth_mm=100.0, members=UsualMembers(member_mm=50.0)), UsualLayer()),
    width_m=6.0,
    span_m=Usual(least=2.4, usual=2.6, most=3.0),
    spacing_mm=Usual(least=560.0, usual=600.0, most=640.0),
    depth_over_mm=140.0,
    depth_up_to_mm=240.0,
    source="for the test",
    standing=Standing.DECLARED,
)


def test_limits_of_depth_are_exclusive_below_and_inclusive_above() -> None:
    fits = {depth: STUDS.fits(element=Element.WALL, depth_mm=depth) for depth in (140.0, 141.0, 240.0, 241.0)}
    assert fits == {140.0: False, 141.0: True, 240.0: True, 241.0: False}
    assert not STUDS.fits(element=Element.FLOOR, depth_mm=200.0)


def test_every_layer_has_some_of_the_depth() -> None:
    anywhere = replace(STUDS, depth_over_mm=None, depth_up_to_mm=None)
    assert not anywhere.fits(element=Element.WALL, depth_mm=100.0)
    assert anywhere.fits(element=Element.WALL, depth_mm=100.5)


def test_the_first_case_is_the_usual_one_and_the_others_are_all_over_it() -> None:
    first, *others = cases(framing=STUDS)
    assert (first.span_m, first.spacing_mm, first.openings_percent) == (2.6, 600.0, 0.0)
    corners = {(2.4, 560.0), (2.4, 640.0), (3.0, 560.0), (3.0, 640.0)}
    assert corners <= {(each.span_m, each.spacing_mm) for each in others}
    spans = sorted({round(each.span_m, 6) for each in others})
    assert spans == [2.4, 2.475, 2.55, 2.625, 2.7, 2.775, 2.85, 2.925, 3.0]
