from math import sqrt

import numpy
import pytest
from scipy import stats

from service.engine.site.bag_mass import bag_mass, counted, mean_bag, spread_kg, weighed
from tests import builders, site

MATERIAL = builders.material()
WEIGHED = (12.4, 12.6, 12.7, 12.5, 12.8)


def test_the_mean_of_weighed_bags_has_students_t_and_the_scale() -> None:
    """JCGM 100, 4.2.3 and annex G: t for 95.45 % and 4 degrees of freedom, from scipy."""
    found = mean_bag(
        checks=(site.bag_check(*WEIGHED),),
        material=MATERIAL,
        uncertainties=site.uncertainties(scale_half_kg=0.1),
    )
    t = float(stats.t.ppf(stats.norm.cdf(2), 4))
    spread = float(numpy.std(WEIGHED, ddof=1)) / sqrt(5)
    assert found.value == pytest.approx(12.6)
    assert found.u == pytest.approx(sqrt((t / 2 * spread) ** 2 + 0.1**2 / 3))


def test_bags_of_several_checks_are_one_sample() -> None:
    apart = (site.bag_check(*WEIGHED[:2]), site.bag_check(*WEIGHED[2:]))
    arguments = {"material": MATERIAL, "uncertainties": site.uncertainties()}
    together = mean_bag(checks=(site.bag_check(*WEIGHED),), **arguments)
    assert mean_bag(checks=apart, **arguments) == together
    assert spread_kg(checks=apart) == pytest.approx(float(numpy.std(WEIGHED, ddof=1)))


@pytest.mark.parametrize("masses", [(), (12.9,)])
def test_without_a_spread_the_label_stands(masses: tuple[float, ...]) -> None:
    """12.5 kg within 2 %, rectangular: u = 0.25/sqrt(3)."""
    checks = (site.bag_check(*masses),) if masses else ()
    found = bag_mass(checks=checks, material=MATERIAL, uncertainties=site.uncertainties())
    assert (found.mean_kg, found.weighed, found.spread_kg) == (12.5, len(masses), None)
    assert found.u_kg == pytest.approx(0.25 / sqrt(3))
    assert found.rule == "Bag mass from the label"
    assert "minimum" in found.note
    assert ("One weighed bag" in found.note) == bool(masses)


def test_weighed_bags_say_how_they_were_used() -> None:
    found = bag_mass(
        checks=(site.bag_check(*WEIGHED),), material=MATERIAL, uncertainties=site.uncertainties()
    )
    assert (found.weighed, found.note, found.rule) == (5, "", "Mean of few readings")
    assert found.expanded_u_kg == pytest.approx(2 * found.u_kg)
    assert found.spread_kg == pytest.approx(0.158113883)


def test_readings_of_the_scale_share_its_error() -> None:
    one = weighed(reading_kg=22.5, uncertainties=site.uncertainties(scale_half_kg=0.1))
    assert one.u == pytest.approx(0.0577350269)
    assert {share.of for share in one.shares} == {"scale"}


def test_counted_bags_by_drawing_every_bag() -> None:
    """JCGM 101 by drawing: 4 bags in 30 000 jobs, a count off by up to half a bag, each bag different."""
    rng = numpy.random.default_rng(2)
    mean = rng.normal(12.5, 0.1, 30_000)
    bags = mean[:, None] + rng.normal(0, 0.3, (30_000, 4))
    drawn = bags.sum(axis=1) + rng.uniform(-0.5, 0.5, 30_000) * mean
    found = counted(bags=4, count_half=0.5, bag=site.bag(12.5, 0.1), spread_kg=0.3, of="fill")
    assert found.value == pytest.approx(50)
    assert found.u == pytest.approx(float(drawn.std()), rel=0.015)
