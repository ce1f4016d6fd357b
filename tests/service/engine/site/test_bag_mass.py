from dataclasses import replace
from math import sqrt
from statistics import stdev

import pytest
from scipy import stats

from service.engine.site.bag_mass import bag_mass, mean_bag, spread_kg
from service.engine.survey.uncertainties import WEIGHING
from tests import builders

ERRORS = replace(WEIGHING, scale_half_kg=0.1, bag_over_label_rel=0.03, bag_spread_rel_u=0.02)
SHEET = replace(builders.material(), bag_kg=12.5)
WEIGHED = (12.6, 12.9, 12.4, 12.7, 12.8)


def of(*masses_kg: float):
    return mean_bag(masses_kg=masses_kg, material=SHEET, errors=ERRORS)


def test_the_mean_of_weighed_bags_is_as_uncertain_as_few_readings_are() -> None:
    """t of 4 degrees of freedom and 95.45 % (scipy), s/sqrt(5), and a scale of +- 0.1 kg."""
    found = of(*WEIGHED)
    t = float(stats.t.ppf((1 + 0.954499736) / 2, 4))
    assert found.value == pytest.approx(12.68)
    assert found.u == pytest.approx(sqrt((t / 2 * stdev(WEIGHED)) ** 2 / 5 + 0.1**2 / 3))


def test_without_a_weighed_bag_the_label_stands_as_a_minimum() -> None:
    """12.5 kg and 3 %: 12.5 to 13.25 kg, rectangular (JCGM 100, 4.3.7)."""
    found = of()
    assert (found.value, found.u) == pytest.approx((12.875, 0.375 / sqrt(3)))
    said = bag_mass(masses_kg=(), material=SHEET, errors=ERRORS)
    assert (said.weighed, said.note and said.note.code) == (0, "site.bags_not_weighed")
    assert said.provenance.rule.code == "formula.label_mass"


def test_few_bags_take_the_declared_scatter_so_that_two_are_worth_more_than_one() -> None:
    """2 % of 12.5 kg is 0.25 kg, over the root of their number, whatever they say."""
    one, two, three = of(12.6), of(12.6, 13.9), of(12.6, 13.9, 11.0)
    for number, found in ((1, one), (2, two), (3, three)):
        assert found.u == pytest.approx(sqrt(0.25**2 / number + 0.1**2 / 3))


@pytest.mark.parametrize(
    ("masses_kg", "spread"), [((), 0.25), ((12.6, 13.9), 0.25), (WEIGHED, stdev(WEIGHED))]
)
def test_the_spread_from_bag_to_bag(masses_kg, spread: float) -> None:
    assert spread_kg(masses_kg=masses_kg, material=SHEET, errors=ERRORS) == pytest.approx(spread)


def test_an_assessment_says_what_was_weighed() -> None:
    said = bag_mass(masses_kg=WEIGHED, material=SHEET, errors=ERRORS)
    assert (said.weighed, said.note) == (5, None)
    assert said.provenance.rule.code == "formula.type_a"
    assert said.expanded_u_kg == pytest.approx(2 * said.u_kg)
