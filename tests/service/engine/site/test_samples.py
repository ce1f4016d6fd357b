from dataclasses import replace
from math import pi, sqrt

import pytest
import uncertainties
from uncertainties import ufloat

from service.engine.ground.uncertainty import Measured, Share
from service.engine.ground.vocabulary import Feel, Shape, Verdict
from service.engine.site.samples import (
    bay_finding,
    mean_of_bays,
    sample_density,
    sample_finding,
)
from service.errors import InvalidInput
from tests import builders, site

DECISION = builders.practice().decision
WINDOW = site.limits(50, 60)


def test_a_core_agrees_with_the_uncertainties_library() -> None:
    """75 +- 1 mm by 300 +- 3 mm, 73 +- 0.5 g (rectangular), 5 % for what coring disturbs."""
    diameter, length = ufloat(75, 1 / sqrt(3)), ufloat(300, 3 / sqrt(3))
    mass, disturbance = ufloat(73, 0.5 / sqrt(3)), ufloat(1, 0.05)
    expected = mass * 1e6 / (pi / 4 * diameter**2 * length) * disturbance
    found = sample_density(sample=site.core(73), uncertainties=site.uncertainties())
    assert found.value == pytest.approx(expected.nominal_value, rel=1e-12)
    assert found.u == pytest.approx(expected.std_dev, rel=1e-9)


def test_the_diameter_of_a_core_counts_twice() -> None:
    """+-1 mm rectangular on 75 mm: 0.77 % of the diameter, 1.54 % of the density (derived)."""
    found = sample_density(sample=site.core(73), uncertainties=site.uncertainties())
    share = next(share for share in found.shares if share.name == "core diameter")
    assert share.u / found.value == pytest.approx(0.0154, abs=5e-5)


def test_a_block_agrees_with_the_uncertainties_library() -> None:
    """300 x 300 x 100 mm, each +- 3 mm, 495 +- 0.5 g."""
    sides = [ufloat(side, 3 / sqrt(3)) for side in (300, 300, 100)]
    expected = ufloat(495, 0.5 / sqrt(3)) * 1e6 / (sides[0] * sides[1] * sides[2])
    found = sample_density(sample=site.block(495), uncertainties=site.uncertainties())
    assert isinstance(expected, uncertainties.UFloat)
    assert (found.value, found.u) == pytest.approx((expected.nominal_value, expected.std_dev), rel=1e-9)


@pytest.mark.parametrize(("shape", "size"), [(Shape.CORE, "length_mm"), (Shape.BLOCK, "depth_mm")])
def test_a_sample_without_its_sizes_is_refused(shape: Shape, size: str) -> None:
    whole = {Shape.CORE: site.core(73), Shape.BLOCK: site.block(495)}[shape]
    with pytest.raises(InvalidInput) as refused:
        sample_density(sample=replace(whole, **{size: None}), uncertainties=site.uncertainties())
    assert [fault.pointer for fault in refused.value.faults] == [f"/{size}"]


def finding(density: Measured, feel: Feel = Feel.FIRM):
    return sample_finding(
        sample=site.core(73, feel=feel),
        bay=1,
        density=density,
        superseded=False,
        window=WINDOW,
        decision=DECISION,
    )


def known(value: float, u: float) -> Measured:
    return Measured(value=value, shares=(Share(name="all", of="all", u=u),))


@pytest.mark.parametrize(
    ("value", "expected"),
    [(55, Verdict.CONFORMING), (50.5, Verdict.INCONCLUSIVE), (45, Verdict.NON_CONFORMING)],
)
def test_a_sample_has_a_verdict_of_its_own(value: float, expected: Verdict) -> None:
    assert finding(known(value, 1.5)).verdict is expected


def test_a_fill_that_gives_way_does_not_conform_whatever_it_weighs() -> None:
    """Common practice: a bay that gives way under the hand has to be re-compressed."""
    found = finding(known(55, 0.5), Feel.GIVES_WAY)
    assert found.probability > 0.99
    assert found.verdict is Verdict.NON_CONFORMING


def of_bay(density: Measured, *values: float, feel: Feel = Feel.FIRM):
    findings = tuple(finding(known(value, 1.5), feel) for value in values)
    return bay_finding(bay=1, density=density, findings=findings, window=WINDOW, decision=DECISION)


def test_more_samples_of_a_bay_can_settle_it() -> None:
    """Two inconclusive samples by different tools, which together are certain enough."""
    found = of_bay(known(52.0, 1.0), 51.5, 52.4)
    assert {each.verdict for each in (finding(known(51.5, 1.5)), finding(known(52.4, 1.5)))} == {
        Verdict.INCONCLUSIVE
    }
    assert (found.samples, found.verdict) == (2, Verdict.CONFORMING)


def test_a_good_sample_does_not_make_up_for_a_bad_one() -> None:
    found = of_bay(known(55, 0.5), 45, 65)
    assert found.probability > 0.99
    assert found.verdict is Verdict.NON_CONFORMING


def test_the_mean_of_bays_has_the_scatter_between_them() -> None:
    """(54 + 58)/2; the tools' 1.5 in common, and s/sqrt(2) = 2."""
    found = mean_of_bays(bays=(known(54, 1.5), known(58, 1.5)))
    assert found.value == 56
    assert found.u == pytest.approx(sqrt(1.5**2 + 2**2))
    assert mean_of_bays(bays=(known(54, 1.5),)) == known(54, 1.5)
