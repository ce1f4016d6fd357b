"""Condensation over a year as others worked it out.

A demonstration project's humidity report after PN-EN ISO 13788, for Poznan's typical
year, found in a public repository and read second-hand: build-ups, the monthly water
of one roof and the verdicts are its own. Indoor air is of humidity class 3 with its
margin of 1.1: p_inside = p_outside + 1.1 x 810 Pa at or below 0 C, falling in a
straight line to nothing at 20 C (the line from memory).
"""

import pytest

from service.documents.wording.sentences import in_words
from service.engine.ground.vocabulary import Condensation, Element, Facing
from service.engine.moisture.moisture import Moisture, moisture
from service.engine.moisture.vapour import saturation_pa, vapour_pa
from service.engine.survey.cavity import BuildUpLayer, Cavity, Layer
from tests.builders import climate, material, month


def class_3():
    """Poznan outside, humidity class 3 inside at 20 C."""
    months = []
    for outside in climate().months:
        mean, rh = outside.outside_c, outside.outside_rh_percent
        excess = 1.1 * 810 * min(1.0, (20 - mean) / 20)
        inside = vapour_pa(temperature_c=mean, rh_percent=rh) + excess
        percent = 100 * inside / saturation_pa(temperature_c=20)
        months.append(month(outside_c=mean, outside_rh_percent=rh, inside_rh_percent=percent))
    return climate(months=tuple(months))


def of(name, resistance_m2k_w, sd_m):
    return BuildUpLayer(name=name, resistance_m2k_w=resistance_m2k_w, sd_m=sd_m)


def year(element, depth_mm, resistance_m2k_w, mu, outside, inside, **fields) -> Moisture:
    cavity = Cavity(
        label="C1",
        element=element,
        width_m=4,
        span_m=2.5,
        layers=(Layer(depth_mm=depth_mm),),
        facing=Facing.MEMBRANE,
        outside=outside,
        inside=inside,
        **fields,
    )
    fill = material(conductivity_w_mk=depth_mm / 1000 / resistance_m2k_w, mu=mu)
    return moisture(cavity=cavity, material=fill, climate=class_3())


CONCRETE, PLASTER = of("concrete", 0.087, 26), of("plaster", 0.025, 0.10)
BARRIER, SHEET = of("vapour barrier", 0.017, 1500), of("roof sheet", 0.006, 112.5)
RENDER, BLOCK = of("render", 0.010, 0.42), of("block", 0.234, 2.70)


def test_a_flat_roof_under_a_tight_sheet_is_wet_in_december_and_dry_in_january():
    found = year(*(Element.ROOF_SLOPE, 240, 10.909, 60), (SHEET,), (BARRIER, CONCRETE, PLASTER), pitch_deg=0)

    assert found.condensation is Condensation.DRIES
    assert [in_words(place.where) for place in found.places] == ["between roof sheet and fill"]
    assert [water.month for water in found.months[:2]] == [12, 1]
    # Printed to 0.1 g/m2: 0.1 gained in December, 0.1 lost in January, nothing from then on.
    grams = [1000 * water.water_kg_m2 for water in found.months]
    assert grams == pytest.approx([0.1] + [0.0] * 11, abs=0.05)
    assert 1000 * found.months[1].evaporated_kg_m2 == pytest.approx(0.1, abs=0.05)


@pytest.mark.parametrize(
    "element_and_layers",
    [
        (Element.WALL, 200, 6.452, 30, (RENDER,), (BLOCK, of("plaster", 0.037, 0.15))),
        (
            *(Element.FLOOR, 250, 8.065, 30, (RENDER,)),
            (CONCRETE, of("polystyrene", 3.25, 3.9), of("screed", 0.055, 2.75), of("oak", 0.083, 0.75)),
        ),
    ],
    ids=["rendered wall", "floor over open air"],
)
def test_elements_that_stay_dry(element_and_layers):
    assert year(*element_and_layers).condensation is Condensation.NONE
