"""What follows from a survey without any geometry: how it lies, and sums over what was counted."""

import pytest

from service.engine.ground.vocabulary import Element, Fill
from service.engine.survey.cavity import Displaced
from tests.builders import attic, framing, opening, wall


@pytest.mark.parametrize("element", Element)
def test_an_attic_is_blown_loose_where_nothing_is_said(element: Element) -> None:
    lies = wall(element=element).lies
    assert lies is (Fill.OPEN if element is Element.ATTIC else Fill.DENSE)
    assert {wall(element=element, fill=fill).lies for fill in Fill} == set(Fill)


@pytest.mark.parametrize(
    ("place", "placed"),
    [({}, False), ({"sill_m": 0.9}, False), ({"left_m": 2.0}, False), ({"left_m": 0.0, "sill_m": 0.0}, True)],
    ids=str,
)
def test_an_opening_has_a_place_where_both_are_known(place: dict[str, float], placed: bool) -> None:
    assert opening(**place).is_placed is placed
    assert wall(openings=(opening(**place),)).unplaced is not placed
    assert wall().unplaced is False


def test_sums_are_over_all_that_was_counted() -> None:
    cavity = wall(
        openings=(opening(count=3), opening(width_m=0.9, height_m=2.0)),
        displaced=(Displaced(volume_m3=0.05), Displaced(volume_m3=0.02, bay=3)),
    )
    assert cavity.openings_m2 == pytest.approx(3 * 1.44 + 1.8)
    assert cavity.displaced_m3 == pytest.approx(0.07)
    assert cavity.depth_mm == 360
    assert attic().openings_m2 == attic().displaced_m3 == 0


def test_members_are_counted_by_number_or_by_place() -> None:
    assert not framing().is_counted
    assert framing(members=12).is_counted
    assert framing(members_at_m=(0.0, 0.6)).is_counted
