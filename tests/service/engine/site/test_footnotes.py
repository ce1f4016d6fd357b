"""Rules are named where they were followed, and not where they were not."""

from service.engine.ground.vocabulary import Facing
from service.engine.site.footnotes import footnotes
from tests import builders, site


def of_wall(*entries, facing=Facing.MEMBRANE) -> set[str]:
    found = site.assessed(site.planned(builders.wall(facing=facing)), entries=entries)
    assert found.rules == footnotes(cavities=found.cavities)
    assert len({each.formula for each in found.rules}) == len(found.rules)
    return {each.formula for each in found.rules}


def test_without_any_evidence_only_the_bag_is_uncertain() -> None:
    assert of_wall() == {"propagation", "rectangular"}


def test_a_density_is_judged_by_its_probability() -> None:
    judged = {"propagation", "rectangular", "conformity", "decision_rule"}
    assert of_wall(site.fill(bay=1, mass_kg=500)) == judged
    assert of_wall(site.core(80)) == judged


def test_two_results_are_compared() -> None:
    both = of_wall(site.fill(bay=1, mass_kg=500), site.core(80))
    assert "normalised_error" in both


def test_a_facing_that_bulges_adds_volume() -> None:
    """Only netting is expected to; a membrane does where a bulge was measured."""
    assert "bulge_volume" in of_wall(facing=Facing.NETTING)
    assert "bulge_volume" in of_wall(site.fill(bay=1, mass_kg=500, bulge_mm=10))


def test_an_open_blow_is_judged_too() -> None:
    attic = site.planned(builders.attic())
    assert {each.formula for each in site.assessed(attic).rules} == {"propagation", "rectangular"}
    found = site.assessed(attic, entries=[site.depth_check(350)])
    assert {each.formula for each in found.rules} >= {"conformity", "decision_rule"}
