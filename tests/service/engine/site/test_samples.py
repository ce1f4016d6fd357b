from math import pi, sqrt

import pytest
import uncertainties
from uncertainties import ufloat

from service.engine.ground.uncertainty import Measured, Scatter, Share
from service.engine.ground.vocabulary import Feel, Verdict
from service.engine.site.samples import (
    bay_finding,
    mean_of_bays,
    sample_density,
    sample_finding,
)
from service.engine.survey.uncertainties import SAMPLE
from tests import site
from tests.evidence import block, core

WINDOW = site.limits(50, 60)
TOOL = {"depth_mm": 300.0, "tool_mm": 75.0}


def density(sample, **tool) -> Measured:
    return sample_density(sample=sample, errors=SAMPLE, **(TOOL | tool))


def test_a_core_agrees_with_the_uncertainties_library() -> None:
    """75 +- 1 mm by 300 +- 5 mm, 73 +- 1 g (rectangular), 3 % for what coring disturbs."""
    diameter, length = ufloat(75, 1 / sqrt(3)), ufloat(300, 5 / sqrt(3))
    mass, disturbance = ufloat(73, 1 / sqrt(3)), ufloat(1, 0.03)
    expected = mass * 1e6 / (pi / 4 * diameter**2 * length) * disturbance
    found = density(core(73))
    assert found.value == pytest.approx(expected.nominal_value, rel=1e-12)
    assert found.u == pytest.approx(expected.std_dev, rel=1e-9)


def test_the_diameter_of_a_core_counts_twice() -> None:
    """+-1 mm rectangular on 75 mm: 0.77 % of the diameter, 1.54 % of the density (derived)."""
    found = density(core(73))
    share = next(share for share in found.shares if share.name == "core diameter")
    assert abs(share.u) / found.value == pytest.approx(0.0154, abs=5e-5)


def test_a_core_without_sizes_has_the_tools_and_goes_through_the_whole_depth() -> None:
    bare = density(core(73, diameter_mm=None, length_mm=None))
    assert (bare.value, bare.u) == pytest.approx((density(core(73)).value, density(core(73)).u))


def test_a_block_agrees_with_the_uncertainties_library() -> None:
    """300 x 300 x 100 mm, each +- 3 mm, 495 +- 1 g, 2 % for cutting."""
    sides = [ufloat(side, 3 / sqrt(3)) for side in (300, 300, 100)]
    mass = ufloat(495, 1 / sqrt(3)) * ufloat(1, 0.02)
    expected = mass * 1e6 / (sides[0] * sides[1] * sides[2])
    found = density(block(495))
    assert isinstance(expected, uncertainties.UFloat)
    assert (found.value, found.u) == pytest.approx((expected.nominal_value, expected.std_dev), rel=1e-9)


def test_one_net_cubic_foot_of_3_5_pounds_is_56_1_kg_m3() -> None:
    """NREL SWS 4.1005.6: 3.5 lb/ft3 is 56.1 kg/m3; a foot is 304.8 mm, 3.5 lb are 1587.573 g."""
    foot = block(1587.573, length_mm=304.8, width_mm=304.8, depth_mm=304.8)
    assert density(foot, depth_mm=310.0).value == pytest.approx(56.1, abs=0.05)


def test_a_core_of_a_firm_without_a_tool_needs_its_diameter() -> None:
    with pytest.raises(ValueError, match="diameter"):
        density(core(73, diameter_mm=None), tool_mm=None)


def known(value: float, u: float, of: str = "all") -> Measured:
    return Measured(value=value, shares=(Share(name=of, of=of, u=u),))


def finding(density: Measured, feel: Feel = Feel.FIRM):
    return sample_finding(sample=core(73, feel=feel), bay=1, density=density, superseded=False, window=WINDOW)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (50, Verdict.CONFORMING),
        (60, Verdict.CONFORMING),
        (49.9, Verdict.NON_CONFORMING),
        (60.1, Verdict.NON_CONFORMING),
    ],
)
def test_a_samples_value_lies_in_the_window_or_does_not(value: float, expected: Verdict) -> None:
    """The risk of a value near a limit is shared: its uncertainty does not decide."""
    assert finding(known(value, 1.5)).verdict is expected


def test_a_fill_that_gives_way_does_not_conform_whatever_it_weighs() -> None:
    """Common practice: a bay that gives way under the hand has to be re-compressed."""
    found = finding(known(55, 0.5), Feel.GIVES_WAY)
    assert found.probability > 0.99
    assert found.verdict is Verdict.NON_CONFORMING


def test_a_good_sample_does_not_make_up_for_a_bad_one() -> None:
    findings = tuple(finding(known(value, 1.5)) for value in (45, 65))
    found = bay_finding(bay=1, density=known(55, 0.5), findings=findings, window=WINDOW)
    assert found.probability > 0.99
    assert found.verdict is Verdict.NON_CONFORMING


def test_the_mean_of_some_bays_by_hand() -> None:
    """3 of 15 bays, s 3 of 5 degrees of freedom: t(95.45 %, 5)/2 = 1.3244 (JCGM 100, table G.2: 2.65)."""
    sampled = tuple(known(value, 1.5) for value in (54, 56, 58))
    found = mean_of_bays(sampled=sampled, bays=15, scatter=Scatter(s=3.0, freedom=5))
    between = 1.3244 * 3 * sqrt((1 - 3 / 15) / 3)
    assert found.value == pytest.approx(56)
    assert found.u == pytest.approx(sqrt(1.5**2 + between**2), rel=1e-3)


def test_of_all_bays_nothing_is_left_to_scatter() -> None:
    sampled = tuple(known(value, 1.5) for value in (54, 58))
    assert mean_of_bays(sampled=sampled, bays=2, scatter=Scatter(s=3.0)).u == pytest.approx(1.5)


def test_each_samples_own_error_is_divided_and_what_they_share_is_not() -> None:
    """Lengths are read one by one; the tool, its disturbance and the scale are the same."""
    one = density(core(73))
    four = mean_of_bays(
        sampled=tuple(density(core(73, bay=bay)) for bay in range(1, 5)), bays=4, scatter=Scatter(s=0.0)
    )
    length = next(abs(share.u) for share in one.shares if share.name == "core length")
    assert four.u == pytest.approx(sqrt(one.u**2 - length**2 * 3 / 4))
