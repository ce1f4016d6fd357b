"""Open blow: settling, the label chart and thickness markers."""

from dataclasses import replace
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.geometry.geometry import geometry
from service.engine.geometry.plane import plane
from service.engine.ground.vocabulary import Market
from service.engine.plan.openblow import LABEL_CHART, OPEN_BLOW, OpenBlow, bags_differ, open_blow
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import ChartRow, Loading, Material, Practice
from service.errors import InvalidInput
from tests.builders import attic, layer, material, opening, practice
from tests.said import said

US = practice(market=Market.US)
GUARD = US.decision.guard_factor
FT2 = 0.3048**2


def found(cavity: Cavity, sheet: Material | None = None, profile: Practice | None = None) -> OpenBlow:
    return open_blow(
        laid_out=plane(cavity=cavity),
        geometry=geometry(cavity=cavity),
        material=sheet or material(),
        practice=profile or practice(),
    )


def refused(
    cavity: Cavity, sheet: Material | None = None, profile: Practice | None = None
) -> tuple[str, str]:
    with pytest.raises(InvalidInput) as caught:
        found(cavity, sheet, profile)
    (fault,) = caught.value.faults
    return fault.pointer, said(fault.detail)


def test_settling_leaves_mass_per_area_alone():
    # Arithmetic: 300 mm settled at 35 kg/m3 is 10.5 kg/m2; blown 300/0.85 mm at 35 x 0.85 kg/m3.
    # Net volume 0.1 x 80 + 0.2 x (80 - 18 x 0.05 x 8) = 22.56 m3, over 0.3 m is 75.2 m2.
    blow = found(attic())
    assert (blow.settled_mm, blow.settled_kg_m3, blow.settlement_percent) == (300, 35, 15)
    assert blow.initial_mm == pytest.approx(352.9412, abs=1e-4)
    assert blow.mass_per_area_kg_m2 == pytest.approx(10.5)
    assert blow.area_m2 == pytest.approx(75.2)
    assert (blow.bags_by_chart, blow.label_r) == (None, None)
    assert blow.provenance == OPEN_BLOW.provenance


def test_bags_that_are_not_the_charts_are_both_named():
    blow = found(attic(label_r=38), profile=US)
    (said_so,) = bags_differ(blow=blow, bag_kg=12.5)
    assert (said_so.values["by_chart"], said_so.values["by_plan"]) == (55, ceil(blow.mass_kg / 12.5))
    assert bags_differ(blow=found(attic()), bag_kg=12.5) == ()


@given(
    depth_mm=st.floats(min_value=100, max_value=330),
    settlement_percent=st.floats(min_value=0, max_value=40),
    settled_kg_m3=st.floats(min_value=20, max_value=60),
)
def test_what_is_blown_is_what_settles(depth_mm, settlement_percent, settled_kg_m3):
    sheet = material(settlement_percent=settlement_percent, settled_kg_m3=settled_kg_m3, loadings=())
    blow = found(attic(layers=(layer(depth_mm),)), sheet)
    assert blow.mass_per_area_kg_m2 == pytest.approx(blow.settled_kg_m3 * blow.settled_mm / 1000)
    assert blow.initial_kg_m3 * blow.guard.planned_initial_mm / 1000 == pytest.approx(
        blow.guard.planned_kg_m2
    )
    assert blow.settled_mm <= blow.initial_mm < blow.guard.planned_initial_mm
    least_kg = geometry(cavity=attic()).net_area_m2 * depth_mm / 1000 * settled_kg_m3
    assert least_kg < blow.mass_kg < 1.2 * least_kg


@pytest.mark.parametrize(
    ("width_ft", "span_ft", "marker_area_m2", "expected"),
    [
        # IECC R303.1.1.1: at least one marker for every 300 ft2.
        (30, 40, 300 * FT2, 4),
        (30.01, 40, 300 * FT2, 5),
        (10, 10, 300 * FT2, 1),
        # The code prints 28 m2: 1200 ft2 is 111.48 m2.
        (30, 40, 28.0, 4),
        (32, 40, 28.0, 5),
    ],
)
def test_markers(width_ft, span_ft, marker_area_m2, expected):
    floor = attic(width_m=width_ft * 0.3048, span_m=span_ft * 0.3048, layers=(layer(300),))
    assert found(floor, profile=practice(marker_area_m2=marker_area_m2)).markers == expected


def test_identical_attics_have_markers_of_their_own():
    # Three attics of 10 m2: a marker in each, where 30 m2 in one piece take two.
    small = attic(width_m=4.0, span_m=2.5)
    alone = found(small, profile=practice(marker_area_m2=28.0)).markers
    assert (alone, found(replace(small, count=3), profile=practice(marker_area_m2=28.0)).markers) == (1, 3)


def test_markers_go_by_the_area_less_hatches():
    hatch = opening(width_m=4.0, height_m=7.0, sill_m=0.5)
    assert (found(attic()).markers, found(attic(openings=(hatch,))).markers) == (3, 2)


def test_the_label_chart_has_the_last_word():
    # 16 CFR 460.12(b)(2) and 460.17: thickness, weight and bags by the chart's row. At the row's own 261 mm
    # arithmetic alone gives 307.06 mm, 9.135 kg/m2.
    blow = found(attic(layers=(layer(261),), label_r=38), profile=US)
    assert (blow.label_r, blow.initial_mm, blow.mass_per_area_kg_m2) == (38, 308, 9.14)
    assert blow.mass_kg >= 731.2
    assert blow.bags_by_chart == 59  # 80 m2 x 73.1/100 = 58.48
    assert blow.provenance == LABEL_CHART.provenance


def test_a_fill_deeper_than_the_row_is_not_held_down_to_it():
    blow = found(attic(label_r=38), profile=US)
    assert blow.initial_mm == pytest.approx(300 / 0.85)
    assert blow.mass_per_area_kg_m2 == pytest.approx(10.5)
    assert blow.bags_by_chart == 55  # net coverage 75.2 m2 x 73.1/100 = 54.97


@pytest.mark.parametrize(
    ("label_r", "detail"),
    [
        # 16 CFR 460.17: R per inch times inches would make an R-43 of 300 mm; the chart has none.
        (43, "R-43 is no row of the label chart of CF-STD; it has: R-19, R-30, R-38, R-49."),
        (None, "An open blow needs a row of the label chart of CF-STD; it has: R-19, R-30, R-38, R-49."),
    ],
)
def test_no_r_value_outside_the_chart(label_r, detail):
    assert refused(attic(label_r=label_r), profile=US) == ("/label_r", detail)


def test_a_sheet_without_a_chart_says_so():
    assert refused(attic(label_r=38), material(chart=()), US)[1].endswith("CF-STD has none.")


def test_a_row_asked_for_outside_the_us_counts_as_well():
    assert found(attic(label_r=38)).label_r == 38


def test_a_fill_thinner_than_its_row_is_refused():
    assert refused(attic(label_r=49), profile=US) == (
        "/layers",
        "R-49 needs a settled thickness of 337 mm; these layers are 300 mm.",
    )


@pytest.mark.parametrize("missing", ["settled_kg_m3", "settlement_percent"])
def test_a_sheet_must_say_how_the_material_settles(missing):
    pointer, detail = refused(attic(), material(**{missing: None}))
    assert (pointer, "settled density and settlement" in detail) == ("/element", True)


def test_the_highest_loading_holds_at_the_thickest_and_densest():
    # REACH Annex XVII entry 65: blown 352.9 mm thick, settled to 35 kg/m3.
    thin, light = Loading(depth_mm=352, density_kg_m3=70), Loading(depth_mm=400, density_kg_m3=34.5)
    assert refused(attic(), material(loadings=(thin,)))[0] == "/layers"
    pointer, detail = refused(attic(), material(loadings=(light,)))
    assert pointer == "/layers"
    assert "settled is above the highest loading at this thickness, 34.5 kg/m³ (REACH" in detail
    planned_kg_m3 = found(attic()).guard.planned_kg_m2 / 0.3
    assert found(attic(), material(loadings=(replace(light, density_kg_m3=planned_kg_m3),)))


def test_the_weight_of_the_chart_counts_against_the_highest_loading():
    heavy = ChartRow(label_r=38, initial_mm=308, settled_mm=261, bags_per_100_m2=73.1, lowest_kg_m2=12.0)
    sheet = material(chart=(heavy,), loadings=(Loading(depth_mm=400, density_kg_m3=38),))
    assert "settled is above the highest loading" in refused(attic(label_r=38), sheet, US)[1]
