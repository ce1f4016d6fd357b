"""Rules are named where they were followed, and not where they were not."""

from service.engine.ground.vocabulary import Facing
from service.engine.site.footnotes import footnotes
from tests import builders, site

BAGS = {"propagation", "rectangular"}
JUDGED = BAGS | {"conformity", "decision_rule"}
MACHINE = {"chain_of_fills", "in_machine"}
SAMPLED = {"pooled_scatter", "part_of_all"}


def of_wall(*entries, facing=Facing.MEMBRANE) -> set[str]:
    found = site.assessed(site.planned(builders.wall(facing=facing)), entries=entries)
    assert found.rules == footnotes(cavities=found.cavities)
    assert len({each.formula for each in found.rules}) == len(found.rules)
    return {each.formula for each in found.rules}


def test_without_any_evidence_only_the_bag_is_uncertain() -> None:
    assert of_wall() == BAGS


def test_a_density_is_judged_by_its_probability_and_by_what_is_in_the_machine() -> None:
    assert of_wall(site.fill(bay=1, mass_kg=500)) == JUDGED | MACHINE
    assert of_wall(site.fill(bay=1, mass_kg=500, run_empty=True)) == JUDGED | MACHINE


def test_samples_scatter() -> None:
    assert of_wall(site.core(80)) == JUDGED | SAMPLED


def test_two_results_are_compared() -> None:
    assert "normalised_error" in of_wall(site.fill(bay=1, mass_kg=500), site.core(80))


def test_spill_of_several_parts_is_shared_out() -> None:
    plans = [site.planned(builders.wall(label=label)) for label in ("W1", "W2")]
    entries = (
        site.fill("W1", bay=1, mass_kg=500),
        site.fill("W2", bay=1, minute=60, mass_kg=500),
        site.reclaimed(10),
    )
    found = site.assessed(*plans, entries=entries)
    assert "spill_shared_out" in {each.formula for each in found.rules}


def test_a_facing_that_bulges_adds_volume() -> None:
    """Only netting is expected to; a membrane does where a bulge was measured."""
    assert "bulge_volume" in of_wall(facing=Facing.NETTING)
    assert "bulge_volume" in of_wall(site.fill(bay=1, mass_kg=500, bulge_mm=10))


def test_an_open_blow_is_judged_too() -> None:
    attic = site.planned(builders.attic())
    assert {each.formula for each in site.assessed(attic).rules} == BAGS
    found = site.assessed(attic, entries=(site.depth_check(350),))
    assert {each.formula for each in found.rules} >= {"conformity", "decision_rule"}
