import pytest

from service.engine.ground.vocabulary import Method, Verdict
from service.engine.site.findings import cavity_findings
from service.engine.site.ledger import Ledger
from tests import builders, site

PLANNED = (
    site.planned(builders.wall()),
    site.planned(site.one_bay(label="B1")),
    site.planned(builders.attic()),
)


def found_of(*entries):
    return cavity_findings(cavities=PLANNED, ledger=Ledger(entries=entries), basis=site.basis())


def test_every_cavity_has_its_own_entries_and_only_those() -> None:
    wall, bay, attic = found_of(
        site.fill("B1", mass_kg=22),
        site.fill("A1", bags=64, method=Method.OPEN_BLOW),
        site.fill("A1", bags=2, removed_kg=5, method=Method.OPEN_BLOW),
        site.core(70, "B1"),
        site.depth_check(360),
    )
    assert (wall.mass_kg, wall.expanded_u_mass_kg, wall.bags, wall.verdict) == (None, None, None, None)
    assert (bay.mass_kg, bay.bags, len(bay.compartments[0].samples)) == (22, None, 1)
    assert (attic.mass_kg, attic.bags, attic.compartments) == (66 * 12.5 - 5, 66, ())
    assert attic.open_blow.depths == 1
    assert wall.open_blow is None


def test_bags_are_only_stated_where_every_fill_was_counted() -> None:
    fills = (site.fill(bay=1, bags=3), site.fill(bay=2, mass_kg=20))
    assert found_of(*fills)[0].bags is None
    assert found_of(*fills[:1])[0].bags == 3


def test_the_mass_of_a_cavity_has_its_uncertainty() -> None:
    (_, bay, _) = found_of(site.fill("B1", mass_kg=22), site.fill("B1", mass_kg=1))
    assert bay.expanded_u_mass_kg == pytest.approx(2 * 2 * 0.05 / 3**0.5)


def test_a_cavity_has_no_verdict_until_all_its_compartments_have_one() -> None:
    planned = (site.planned(builders.stud_wall()),)
    target_kg = planned[0].density.target_kg_m3.value
    fills = [
        site.fill("W2", bay=space.bays[0], mass_kg=target_kg * space.net_volume_m3)
        for space in planned[0].compartments
    ]

    def verdict(*recorded):
        (found,) = cavity_findings(cavities=planned, ledger=Ledger(entries=recorded), basis=site.basis())
        return found.verdict

    assert verdict(*fills[:9]) is None
    assert verdict(*fills) is Verdict.CONFORMING
    assert verdict(*fills, site.fill("W2", bay=4, mass_kg=8)) is Verdict.NON_CONFORMING
