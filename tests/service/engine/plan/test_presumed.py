"""A presumed cavity has the area that was told, whatever its openings, and is marked as estimated."""

from dataclasses import replace
from itertools import pairwise

import pytest

from service.engine.ground.vocabulary import Surveyed
from service.engine.plan.presumed import cavity_of
from service.engine.survey.cavity import Opening
from service.engine.survey.usual import Case, Usual, UsualFraming
from tests.service.engine.survey.test_usual import STUDS

WINDOW = Opening(width_m=1.2, height_m=1.2, sill_m=0.9, trim_mm=45.0)


def with_windows() -> UsualFraming:
    return replace(STUDS, opening=WINDOW, openings_percent=Usual(least=0.0, usual=20.0, most=30.0))


@pytest.mark.parametrize("percent", [0.0, 4.0, 20.0, 30.0])
@pytest.mark.parametrize("area_m2", [8.0, 47.3, 120.0])
def test_the_area_less_openings_is_the_one_that_was_told(percent: float, area_m2: float) -> None:
    case = Case(span_m=2.6, spacing_mm=600.0, openings_percent=percent)
    cavity = cavity_of(label="P", area_m2=area_m2, depth_mm=200.0, framing=with_windows(), case=case)
    gross_m2 = cavity.width_m * cavity.span_m
    assert cavity.count * (gross_m2 - cavity.openings_m2) == pytest.approx(area_m2)
    assert 100 * cavity.openings_m2 / gross_m2 == pytest.approx(percent)
    assert cavity.surveyed is Surveyed.ESTIMATED


def test_openings_lie_beside_one_another_within_the_cavity() -> None:
    case = Case(span_m=2.6, spacing_mm=600.0, openings_percent=30.0)
    cavity = cavity_of(label="P", area_m2=60.0, depth_mm=200.0, framing=with_windows(), case=case)
    ends = [(each.left_m or 0.0, (each.left_m or 0.0) + each.width_m) for each in cavity.openings]
    assert len(ends) > 1
    assert ends[0][0] > 0
    assert ends[-1][1] < cavity.width_m
    assert all(one[1] < other[0] for one, other in pairwise(ends))


def test_the_layer_without_a_depth_has_what_the_others_leave() -> None:
    case = Case(span_m=2.6, spacing_mm=600.0, openings_percent=0.0)
    cavity = cavity_of(label="P", area_m2=60.0, depth_mm=230.0, framing=STUDS, case=case)
    assert [layer.depth_mm for layer in cavity.layers] == [100.0, 130.0]
    assert cavity.count == round(60.0 / 2.6 / 6.0)
