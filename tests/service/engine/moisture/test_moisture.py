"""A year's moisture in a filled wall or roof."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.documents.wording.sentences import in_words
from service.engine.ground.vocabulary import Condensation, Fill
from service.engine.moisture.moisture import moisture, profile
from service.engine.moisture.section import section
from service.engine.survey.cavity import BuildUpLayer
from tests.builders import board, climate, layer, material, month, roof_slope, stud_wall

MEMBRANE = BuildUpLayer(name="membrane", resistance_m2k_w=0, sd_m=5)
LINING = BuildUpLayer(name="lining", thickness_mm=12.5, conductivity_w_mk=0.25, mu=10)
SHEATHING = board(name="sheathing", thickness_mm=16, conductivity_w_mk=0.14, mu=12)


def wall(*, inside=(LINING,), outside=(SHEATHING,)):
    return stud_wall(layers=(layer(300),), inside=inside, outside=outside)


# Worked out independently: 300 mm of fill (0.039, mu 2) behind 16 mm of board (0.14, mu 12), 12.5 mm of
# lining (0.25, mu 10) inside, with and without a membrane of 5 m, in a month of 20 C/50 % and -5 C/80 %.


def test_behind_a_membrane_the_sheathing_stays_dry():
    line = section(cavity=wall(inside=(MEMBRANE, LINING)), material=material())

    behind = profile(section=line, month=month())[1]

    assert line.total_m2k_w == pytest.approx(8.026593, abs=5e-7)
    assert line.sd_m[-1] == pytest.approx(5.917)
    assert in_words(behind.where) == "between sheathing and fill"
    assert behind.temperature_c == pytest.approx(-4.519, abs=5e-4)
    assert behind.saturation_pa == pytest.approx(417.99, abs=0.005)
    assert behind.vapour_pa == pytest.approx(348.45, abs=0.005)
    # 2e-10 (348.45 - 320.94)/0.192 = 2.8647e-8 kg/(m2 s) through the whole wall.
    assert 2e-10 * (behind.vapour_pa - 320.94479) / 0.192 == pytest.approx(2.8647e-8, rel=1e-4)


def test_without_the_membrane_vapour_condenses_on_the_sheathing():
    line = section(cavity=wall(), material=material())

    behind = profile(section=line, month=month())[1]

    assert behind.vapour_pa == behind.saturation_pa == pytest.approx(417.99, abs=0.005)


def test_condensed_water_of_a_winter_month_by_hand():
    # (1168.476 - 417.993)/0.725 - (417.993 - 320.945)/0.192 = 529.69 Pa/m; x 2e-10 x 31 days = 0.28374 kg/m2.
    mild = month(outside_c=15, inside_c=20, outside_rh_percent=60)
    year = climate(months=(month(), *(mild,) * 11))

    found = moisture(cavity=wall(), material=material(), climate=year)

    assert found.months[0].condensed_kg_m2 == pytest.approx(0.28374, abs=5e-6)
    assert found.peak_kg_m2 == found.months[0].water_kg_m2
    assert found.months[1].evaporated_kg_m2 == pytest.approx(0.28374, abs=5e-6)
    assert found.condensation is Condensation.DRIES
    assert [in_words(place.where) for place in found.places] == ["between sheathing and fill"]
    assert (found.places[0].peak_kg_m2, found.places[0].left_kg_m2) == (found.peak_kg_m2, 0)


def test_a_wall_that_stays_dry_has_no_months():
    found = moisture(cavity=wall(inside=(MEMBRANE, LINING)), material=material(), climate=climate())

    assert (found.condensation, found.peak_kg_m2, found.months) == (Condensation.NONE, 0, ())


def test_a_membrane_on_the_cold_side_traps_water():
    foil = BuildUpLayer(name="foil", resistance_m2k_w=0, sd_m=1500)
    year = climate(months=(month(outside_rh_percent=90),) * 12)

    found = moisture(cavity=wall(outside=(foil, SHEATHING)), material=material(), climate=year)

    assert found.condensation is Condensation.REMAINS
    assert found.left_kg_m2 == found.peak_kg_m2 > 0
    assert in_words(found.places[0].where) == "between foil and sheathing"


def test_two_places_are_told_apart():
    # A tight outer layer and, further in, a tight board: vapour condenses on both.
    tight = BuildUpLayer(name="tight board", thickness_mm=20, conductivity_w_mk=0.04, sd_m=3)
    facade = BuildUpLayer(name="facade", thickness_mm=60, conductivity_w_mk=0.04, mu=2)
    render = BuildUpLayer(name="render", thickness_mm=10, conductivity_w_mk=0.8, sd_m=20)
    humid = month(inside_rh_percent=60, outside_c=-10)

    found = moisture(
        cavity=wall(outside=(render, facade, tight)),
        material=material(),
        climate=climate(months=(humid,) * 12),
    )

    places = {in_words(place.where): place.peak_kg_m2 for place in found.places}
    assert {"between render and facade", "between tight board and fill"} <= places.keys()
    assert sum(places.values()) == pytest.approx(found.peak_kg_m2)


def test_the_profile_is_of_the_coldest_month():
    found = moisture(cavity=wall(), material=material(), climate=climate())

    assert found.profile_month == 2
    assert found.profile[0].vapour_pa == pytest.approx(456, rel=0.01)  # as that report prints it


def test_limits_are_always_said_and_an_unvented_roof_needs_a_designer():
    air = BuildUpLayer(name="air", ventilated=True)
    unvented = roof_slope(outside=(SHEATHING,), inside=(LINING,))
    vented = roof_slope(outside=(air, SHEATHING), inside=(LINING,))
    loose = roof_slope(outside=(SHEATHING,), inside=(LINING,), fill=Fill.OPEN)

    def limits(cavity):
        return moisture(cavity=cavity, material=material(), climate=climate()).limits

    assert "never proof" in in_words(limits(wall())[0])
    assert limits(unvented) == (*limits(wall()), limits(unvented)[-1])
    assert "BSI-043" in in_words(limits(unvented)[-1])
    assert limits(vented) == limits(loose) == limits(wall())


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.02, 50),
    st.lists(st.floats(-20, 30), min_size=12, max_size=12),
    st.floats(30, 70),
    st.floats(40, 100),
)
def test_water_of_a_year_adds_up(membrane_sd, outside, inside_rh, outside_rh):
    months = tuple(
        month(outside_c=mean, inside_rh_percent=inside_rh, outside_rh_percent=outside_rh) for mean in outside
    )
    membrane = BuildUpLayer(name="membrane", resistance_m2k_w=0, sd_m=membrane_sd)

    found = moisture(
        cavity=wall(outside=(membrane, SHEATHING)), material=material(), climate=climate(months=months)
    )

    gained = sum(each.condensed_kg_m2 - each.evaporated_kg_m2 for each in found.months)
    assert gained == pytest.approx(found.left_kg_m2, abs=1e-9)
    assert found.peak_kg_m2 >= found.left_kg_m2 >= 0
    assert bool(found.places) is (found.condensation is not Condensation.NONE)
