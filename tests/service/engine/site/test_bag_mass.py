from dataclasses import replace
from math import sqrt
from statistics import stdev

import pytest
from scipy import stats

from service.engine.site.bag_mass import bag, bag_masses
from service.engine.site.materials import materials_of
from service.engine.survey.uncertainties import WEIGHING
from tests import builders, site

ERRORS = replace(WEIGHING, scale_half_kg=0.1, bag_over_label_rel=0.03, bag_spread_rel_u=0.02)
SHEET = replace(builders.material(), bag_kg=12.5)
WEIGHED = (12.6, 12.9, 12.4, 12.7, 12.8)


def of(*masses_kg: float):
    return bag(masses_kg=masses_kg, code="CF-STD", material=SHEET, errors=ERRORS).mean


def said_of(*entries):
    ledger = site.ledger(*entries)
    came = materials_of(ledger=ledger, offered="CF-STD")
    return bag_masses(ledger=ledger, materials=came, material=SHEET, errors=ERRORS)


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
    (said,) = said_of()
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
    found = bag(masses_kg=masses_kg, code="CF-STD", material=SHEET, errors=ERRORS)
    assert found.spread_kg == pytest.approx(spread)


def test_an_assessment_says_what_was_weighed() -> None:
    (said,) = said_of(site.bag_check(*WEIGHED))
    assert (said.weighed, said.note) == (5, None)
    assert said.provenance.rule.code == "formula.type_a"
    assert said.expanded_u_kg == pytest.approx(2 * said.u_kg)


def test_each_material_has_bags_of_its_own() -> None:
    """Bags of 12.5 and of 20 kg are no bags of 16: each by those of its lot that were weighed."""
    came = (
        site.delivery(bags=20, lot="A", material="CF-STD"),
        site.delivery(bags=20, lot="B", material="CF-FINE"),
    )
    weighed = (
        site.bag_check(12.6, 12.8, lot="A"),
        site.bag_check(20.2, 20.4, lot="B"),
        site.bag_check(30.0, 30.0),  # of nobody knows which
    )
    fine, standard = said_of(*came, *weighed)
    assert (fine.material, fine.mean_kg, fine.weighed) == ("CF-FINE", pytest.approx(20.3), 2)
    assert (standard.material, standard.mean_kg, standard.weighed) == ("CF-STD", pytest.approx(12.7), 2)
    assert said_of(*came[:1], *weighed)[0].weighed == 6  # where one came, all are of it


def test_bags_of_a_material_whose_label_nobody_knows_may_hold_anything_until_weighed() -> None:
    came = site.delivery(bags=20, lot="B", material="CF-FINE")
    (found,) = said_of(came)
    assert (found.mean_kg, found.u_kg) == pytest.approx((12.5, 12.5 / sqrt(3)))
    assert getattr(found.note, "code", None) == "site.bags_of_unknown_mass"
    assert said_of(came, site.bag_check(20.2, 20.4))[0].note is None
