"""The line through an element that heat and vapour follow."""

import pytest

from service.documents.wording.sentences import in_words
from service.engine.moisture.section import ceilings_pa, section, temperatures_c
from service.engine.survey.cavity import BuildUpLayer
from service.errors import InvalidInput
from tests.builders import board, layer, material, month, roof_slope, stud_wall

MEMBRANE = BuildUpLayer(name="membrane", resistance_m2k_w=0, sd_m=5)


def test_layers_are_cut_into_strips_of_a_quarter_at_most():
    # 100 mm at 0.04 is 2.5 m2K/W: ten strips, eleven nodes, and one more for each thin layer.
    cavity = stud_wall(layers=(layer(100),), outside=(board(),), inside=(MEMBRANE,))

    found = section(cavity=cavity, material=material(conductivity_w_mk=0.04))

    assert tuple(map(in_words, found.where)) == (
        "outside surface",
        "between board and fill",
        *("in fill",) * 9,
        "between fill and membrane",
        "inside surface",
    )
    assert found.sd_m[1:3] == pytest.approx((0.75, 0.77))
    assert (found.sd_m[-2], found.sd_m[-1]) == pytest.approx((0.95, 5.95))
    assert found.resistance_m2k_w[1:3] == pytest.approx((0.155385, 0.405385), abs=1e-6)
    assert found.total_m2k_w == pytest.approx(0.155385 + 2.5 + 0.13, abs=1e-6)


def test_the_number_of_strips_is_bounded():
    thick = stud_wall(layers=(layer(10_000),) * 10)

    found = section(cavity=thick, material=material())

    assert len(found.where) == 201


def test_temperature_falls_with_resistance():
    line = section(cavity=stud_wall(layers=(layer(100),)), material=material(conductivity_w_mk=0.04))

    found = temperatures_c(section=line, month=month(inside_c=20, outside_c=-5))

    # R 0.04 + 2.5 + 0.13 = 2.67: surfaces at -5 + 25 x 0.04/2.67 and 20 - 25 x 0.13/2.67.
    assert (found[0], found[-1]) == pytest.approx((-4.625468, 18.782772), abs=1e-6)


def test_the_ends_have_the_pressure_of_the_air():
    line = section(cavity=stud_wall(), material=material())

    found = ceilings_pa(section=line, month=month())

    assert (found[0], found[-1]) == pytest.approx((320.945, 1168.476), abs=0.001)


def test_a_wet_surface_passes_on_no_more_than_saturated_vapour():
    line = section(cavity=stud_wall(layers=(layer(10),)), material=material(conductivity_w_mk=0.04))

    found = ceilings_pa(section=line, month=month(inside_rh_percent=100))

    # The inside surface stands at 20 - 25 x 0.13/0.42 = 12.26 C, whose saturation pressure is 1425 Pa.
    assert found[-1] == pytest.approx(1425, abs=3)


def test_nothing_outside_a_ventilated_layer_counts():
    air = BuildUpLayer(name="air", ventilated=True)
    cavity = roof_slope(outside=(BuildUpLayer(name="tiles"), air, board()))

    found = section(cavity=cavity, material=material())

    assert in_words(found.where[1]) == "between board and fill"
    assert found.resistance_m2k_w[0] == 0.10


def test_a_fill_without_mu_is_refused():
    with pytest.raises(InvalidInput) as caught:
        section(cavity=stud_wall(), material=material(mu=None))

    assert [fault.pointer for fault in caught.value.faults] == ["/layers"]
    assert "CF-STD" in in_words(caught.value.detail)


def test_a_layer_without_vapour_resistance_is_named():
    with pytest.raises(InvalidInput) as caught:
        section(cavity=stud_wall(inside=(board(mu=None),)), material=material())

    assert [fault.pointer for fault in caught.value.faults] == ["/inside/0/mu"]
