"""Published U-value examples, worked out again."""

import pytest

from service.engine.geometry.geometry import geometry
from service.engine.ground.vocabulary import Runs
from service.engine.heat.paths import Leaf, lower_limit, upper_limit, whole_paths
from service.engine.heat.thermal import thermal
from service.engine.survey.cavity import BuildUpLayer
from tests.builders import fraction, layer, stud_wall


def leaf(fill, timber, share):
    return Leaf(fill=fill, timber=timber, timber_fraction=share, runs=Runs.ALONG)


def test_timber_framed_wall_of_the_scottish_standards():
    # Scottish building standards, "Worked examples of U-value calculations using the combined method", 6.B.2
    # (published; R1 4.111, R2 1.778, upper 3.435, lower 3.304, U 0.30).
    cavity = stud_wall(
        layers=(layer(140, fraction(0.15, conductivity_w_mk=0.12)),),
        outside=(
            BuildUpLayer(name="brick", thickness_mm=102, conductivity_w_mk=0.77),
            BuildUpLayer(name="air", resistance_m2k_w=0.18),
            BuildUpLayer(name="sheathing", thickness_mm=9, conductivity_w_mk=0.13),
        ),
        inside=(BuildUpLayer(name="plasterboard", thickness_mm=12.5, conductivity_w_mk=0.21),),
    )

    found = thermal(cavity=cavity, geometry=geometry(cavity=cavity), conductivity_w_mk=0.04)

    assert found.r_upper == pytest.approx(3.435, abs=0.0005)
    assert found.r_lower == pytest.approx(3.304, abs=0.0005)
    assert found.u_value_w_m2k == pytest.approx(0.30, abs=0.005)
    # The same unrounded, worked out independently.
    assert found.u_value_w_m2k == pytest.approx(0.296801, abs=5e-7)


def test_cavity_wall_with_two_bridged_layers_of_the_scottish_standards():
    # The same document, 6.B.3 (published; upper 3.617, lower 3.136, U 0.30). It rounds between its steps.
    others = 0.04 + 0.102 / 0.77 + 0.18 + 0.0125 / 0.21 + 0.13
    leaves = (leaf(0.125 / 0.11, 0.125 / 0.88, 0.067), leaf(0.089 / 0.038, 0.089 / 0.13, 0.118))

    upper = upper_limit(paths=whole_paths(leaves=leaves, aligned=False), others=others)
    lower = lower_limit(leaves=leaves, others=others)

    assert upper == pytest.approx(3.617, abs=0.002)
    assert lower == pytest.approx(3.136, abs=0.002)
    assert 2 / (upper + lower) == pytest.approx(0.30, abs=0.005)
    # The same unrounded, worked out independently.
    assert (upper, lower) == pytest.approx((3.615653, 3.137234), abs=5e-7)


def test_wall_of_the_scottish_consultation_of_2004():
    # Scottish Executive, consultation on building standards 2004, annex 6.B: the resistances, R1 3.971 and
    # R2 1.715 are published; the limits and U were worked out from them independently.
    others = 0.040 + 0.132 + 0.090 + 0.146 + 0.100 + 0.130
    leaves = (leaf(3.333, 1.077, 0.095),)
    paths = whole_paths(leaves=leaves, aligned=True)

    upper = upper_limit(paths=paths, others=others)
    lower = lower_limit(leaves=leaves, others=others)

    assert sorted(path.resistance + others for path in paths) == pytest.approx([1.715, 3.971], abs=0.0005)
    assert (upper, lower) == pytest.approx((3.52988, 3.41782), abs=5e-6)
    assert 2 / (upper + lower) == pytest.approx(0.28786, abs=5e-6)
