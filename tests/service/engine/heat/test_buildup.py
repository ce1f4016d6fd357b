"""Layers beside the cavity: which count, what they resist, and what is refused."""

import pytest

from service.engine.heat.buildup import beside, resistances_m2k_w, sd_m, ventilated
from service.engine.survey.cavity import BuildUpLayer
from service.errors import InvalidInput
from tests.builders import board, wall


def refused(cavity, measure):
    outside, inside = beside(cavity=cavity)
    with pytest.raises(InvalidInput) as caught:
        measure(layers=outside + inside)
    return [fault.pointer for fault in caught.value.faults]


def test_layers_count_with_the_place_they_were_given_at():
    outside, inside = beside(cavity=wall(outside=(board(name="a"), board(name="b")), inside=(board(),)))

    assert [each.pointer for each in outside + inside] == ["/outside/0", "/outside/1", "/inside/0"]


def test_a_ventilated_layer_and_all_outside_it_do_not_count():
    air = BuildUpLayer(name="air", ventilated=True)
    cavity = wall(outside=(BuildUpLayer(name="cladding"), air, board()), inside=(board(),))

    outside, _ = beside(cavity=cavity)

    assert [each.pointer for each in outside] == ["/outside/2"]
    assert ventilated(cavity=cavity)
    assert not ventilated(cavity=wall(outside=(board(),)))


def test_a_ventilated_layer_inside_is_refused():
    with pytest.raises(InvalidInput) as caught:
        beside(cavity=wall(inside=(board(), board(ventilated=True))))

    assert [fault.pointer for fault in caught.value.faults] == ["/inside/1/ventilated"]


def test_resistance_is_thickness_over_conductivity_or_as_stated():
    air = BuildUpLayer(name="air", thickness_mm=40, resistance_m2k_w=0.18, mu=1)
    outside, inside = beside(cavity=wall(outside=(air,), inside=(board(thickness_mm=13),)))

    assert resistances_m2k_w(layers=outside + inside) == pytest.approx((0.18, 0.1))


@pytest.mark.parametrize(
    ("layer", "field"),
    [
        (BuildUpLayer(name="board"), "conductivity_w_mk"),
        (BuildUpLayer(name="board", thickness_mm=12.5), "conductivity_w_mk"),
        (BuildUpLayer(name="board", conductivity_w_mk=0.25), "thickness_mm"),
        (board(resistance_m2k_w=0.1), "resistance_m2k_w"),
        (board(conductivity_w_mk=0), "conductivity_w_mk"),
        (board(thickness_mm=0), "thickness_mm"),
        (BuildUpLayer(name="board", resistance_m2k_w=-0.1), "resistance_m2k_w"),
        (board(thickness_mm=12.5e3), "thickness_mm"),
    ],
)
def test_a_layer_without_one_clear_resistance_is_refused(layer, field):
    assert refused(wall(inside=(layer,)), resistances_m2k_w) == [f"/inside/0/{field}"]


def test_every_layer_at_fault_is_named():
    bare = BuildUpLayer(name="bare")

    assert refused(wall(outside=(bare,), inside=(board(), bare)), resistances_m2k_w) == [
        "/outside/0/conductivity_w_mk",
        "/inside/1/conductivity_w_mk",
    ]


def test_sd_is_mu_times_thickness_or_as_stated():
    membrane = BuildUpLayer(name="membrane", sd_m=5)
    outside, inside = beside(cavity=wall(outside=(board(),), inside=(membrane,)))

    assert sd_m(layers=outside + inside) == pytest.approx((0.75, 5))


@pytest.mark.parametrize(
    ("layer", "field"),
    [
        (board(mu=None), "mu"),
        (board(sd_m=1), "sd_m"),
        (BuildUpLayer(name="board", resistance_m2k_w=0.1, mu=10), "thickness_mm"),
        (board(mu=0), "mu"),
        (BuildUpLayer(name="membrane", sd_m=0), "sd_m"),
    ],
)
def test_a_layer_without_one_clear_vapour_resistance_is_refused(layer, field):
    assert refused(wall(inside=(layer,)), sd_m) == [f"/inside/0/{field}"]
