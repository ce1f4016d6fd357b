from math import sqrt

import pytest

from service.engine.ground.vocabulary import Method, Verdict
from tests import builders, site
from tests.evidence import WORKED_SIZES, practice, shown, shown_of

PLANNED = (
    site.planned(builders.wall()),
    site.planned(site.one_bay(label="B1")),
    site.planned(builders.attic()),
)


def test_every_cavity_has_its_own_entries_and_only_those() -> None:
    wall, bay, attic = shown_of(
        PLANNED,
        site.fill("B1", mass_kg=22, run_empty=True),
        site.fill("A1", minute=30, bags=64, method=Method.OPEN_BLOW, run_empty=True),
        site.fill("A1", minute=90, bags=2, removed_kg=5, method=Method.OPEN_BLOW, run_empty=True),
        site.core(70, "B1"),
        site.depth_check(360, minute=95),
    )
    assert (wall.mass_kg, wall.expanded_u_mass_kg, wall.bags, wall.verdict) == (None, None, None, None)
    assert (bay.mass_kg, bay.bags, len(bay.compartments[0].samples)) == (22, None, 1)
    assert (attic.mass_kg, attic.bags, attic.compartments) == (66 * 12.5 - 5, 66, ())
    assert attic.open_blow.depths == 1
    assert wall.open_blow is None


def test_bags_are_only_stated_where_every_fill_was_counted() -> None:
    fills = (site.fill(bay=1, bags=3), site.fill(bay=2, mass_kg=20))
    assert shown(builders.wall(), *fills).bags is None
    assert shown(builders.wall(), *fills[:1]).bags == 3


def test_the_mass_of_a_cavity_has_its_uncertainty() -> None:
    fills = (site.fill(mass_kg=22, run_empty=True), site.fill(minute=30, mass_kg=1, run_empty=True))
    profile = practice(weighing={"scale_half_kg": 0.05})
    assert shown(site.one_bay(), *fills, profile=profile).expanded_u_mass_kg == pytest.approx(
        2 * 2 * 0.05 / sqrt(3)
    )


def test_a_cavity_has_no_verdict_until_all_its_compartments_have_one() -> None:
    cavity = builders.stud_wall()
    plan = site.planned(cavity)
    target_kg = plan.density.target_kg_m3.value
    fills = [
        site.fill(
            "W2",
            bay=space.bays[0],
            minute=10 * space.bays[0],
            mass_kg=target_kg * space.net_volume_m3,
            run_empty=True,
        )
        for space in plan.compartments
    ]
    profile = practice(WORKED_SIZES)
    assert shown(cavity, *fills[:9], profile=profile).verdict is None
    assert shown(cavity, *fills, profile=profile).verdict is Verdict.CONFORMING
    too_much = site.fill("W2", bay=4, minute=200, mass_kg=8, run_empty=True)
    assert shown(cavity, *fills, too_much, profile=profile).verdict is Verdict.NON_CONFORMING


def test_the_density_as_installed_is_of_what_was_filled_and_of_nothing_else() -> None:
    """Nine of ten bays: their kilograms over their room, and none of the tenth."""
    cavity = builders.stud_wall()
    fills = [site.fill("W2", bay=bay, minute=10 * bay, mass_kg=10.0, run_empty=True) for bay in range(1, 10)]
    found = shown(cavity, *fills, profile=practice(WORKED_SIZES))
    room_m3 = sum(space.net_volume_m3 for space in found.compartments[:9])
    assert found.installed.density_kg_m3 == pytest.approx(90 / room_m3)
    assert found.installed.provenance.rule.code == "formula.mass_balance"


def test_bays_measured_by_one_depth_err_together() -> None:
    """The depth of a wall is one: ten bays of it are no better known than one, but for their widths."""
    cavity = builders.stud_wall()
    fills = [site.fill("W2", bay=bay, minute=10 * bay, mass_kg=10.0, run_empty=True) for bay in range(1, 11)]
    found = shown(cavity, *fills, profile=practice(WORKED_SIZES))
    relative = found.installed.expanded_u_kg_m3 / found.installed.density_kg_m3
    assert relative > 2 * 3 / sqrt(3) / 140
