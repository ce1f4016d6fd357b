"""Surface resistances by the direction of heat flow."""

import pytest

from service.engine.ground.vocabulary import Element
from service.engine.heat.surfaces import surfaces


# ISO 6946's conventional values as BR 443 quotes them (second-hand): 0.13, 0.10, 0.17 and 0.04 m2K/W.
@pytest.mark.parametrize(
    ("element", "pitch_deg", "rsi", "rse"),
    [
        (Element.WALL, None, 0.13, 0.04),
        (Element.FLOOR, None, 0.17, 0.04),
        (Element.ROOF_SLOPE, 38, 0.10, 0.04),
        (Element.ROOF_SLOPE, None, 0.10, 0.04),
        # Heat leaves a slope at right angles: 59 degrees of pitch is 31 from the horizontal.
        (Element.ROOF_SLOPE, 59, 0.10, 0.04),
        (Element.ROOF_SLOPE, 60, 0.13, 0.04),
        (Element.ROOF_SLOPE, 75, 0.13, 0.04),
        # An attic's floor has the unheated attic outside: both faces alike (from memory).
        (Element.ATTIC, None, 0.10, 0.10),
    ],
)
def test_resistances_of_each_element(element, pitch_deg, rsi, rse):
    found = surfaces(element=element, pitch_deg=pitch_deg)

    assert (found.rsi, found.rse) == (rsi, rse)


@pytest.mark.parametrize("element", Element)
def test_a_sheltered_face_counts_as_an_inside_one(element):
    found = surfaces(element=element, pitch_deg=30, sheltered=True)

    assert found.rse == found.rsi
