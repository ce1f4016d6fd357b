from dataclasses import replace
from math import sqrt

import pytest

from service.engine.ground.vocabulary import Method, Verdict
from service.engine.site.open_finding import open_blow_finding
from tests import builders, site

PLAN = site.planned(builders.attic())
DEPTHS = (360, 364, 356, 368, 352, 360)


def attic_fill(mass_kg: float, minute: float = 0.0):
    return site.fill("A1", minute=minute, mass_kg=mass_kg, method=Method.OPEN_BLOW)


def found_of(*fills, checks=(), plan=PLAN, **fields):
    return open_blow_finding(
        planned=plan, plan=plan.open_blow, fills=fills, checks=checks, basis=site.basis(**fields)
    )


def test_mass_per_area_is_held_against_the_mass_that_is_required() -> None:
    """300 mm settled of 35 kg/m3: 10.5 kg/m2 on 75.2 m2 clear of joists; 3 % more was blown."""
    found = found_of(attic_fill(813.3)).mass_per_area
    assert found.required_kg_m2 == pytest.approx(10.5)
    assert found.mass_per_area_kg_m2 == pytest.approx(813.3 / 75.2)
    assert found.verdict is Verdict.CONFORMING
    assert found.expanded_u_kg_m2 == pytest.approx(2 * found.u_kg_m2)


def test_the_area_is_uncertain_by_its_sizes_and_joists_and_not_by_depth() -> None:
    """10 x 8 m, each +- 5 mm; 18 joists of 8 m, +- 1 mm each alike, in 200 of 300 mm."""
    found = found_of(attic_fill(813.3))
    sides = 75.2 * sqrt(0.005**2 / 3 / 10**2 + 0.005**2 / 3 / 8**2)
    joists = 18 * 8 * 0.001 / sqrt(3) * 200 / 300
    assert found.area_m2 == pytest.approx(75.2)
    assert found.expanded_u_area_m2 == pytest.approx(2 * sqrt(sides**2 + joists**2))


@pytest.mark.parametrize(
    ("mass_kg", "verdict"),
    [(789.6, Verdict.INCONCLUSIVE), (770, Verdict.NON_CONFORMING), (900, Verdict.CONFORMING)],
)
def test_only_too_little_is_wrong_of_an_open_blow(mass_kg: float, verdict: Verdict) -> None:
    """Just the required mass is shown with one half."""
    found = found_of(attic_fill(mass_kg)).mass_per_area
    assert found.verdict is verdict
    if verdict is Verdict.INCONCLUSIVE:
        assert found.probability == pytest.approx(0.5, abs=1e-6)


def test_thickness_is_the_mean_of_the_depths() -> None:
    """Six depths, s = 5.6569: t for 5 degrees of freedom and 95.45 % is 2.6487 (scipy), ruler +- 3 mm."""
    found = found_of(attic_fill(813.3), checks=(site.depth_check(*DEPTHS),)).thickness
    scatter = 2.6486494 / 2 * 5.656854 / sqrt(6)
    assert found.thickness_mm == 360
    assert found.required_mm == pytest.approx(300 / 0.85)
    assert found.u_mm == pytest.approx(sqrt(scatter**2 + 3), rel=1e-6)
    assert found.settled_mm == pytest.approx(306)
    assert (found.lowest_mm, found.highest_mm, found.verdict) == (352, 368, Verdict.CONFORMING)


def test_the_worst_of_mass_and_thickness_decides() -> None:
    thin = site.depth_check(*(depth - 30 for depth in DEPTHS))
    found = found_of(attic_fill(813.3), checks=(thin,))
    assert found.mass_per_area.verdict is Verdict.CONFORMING
    assert found.thickness.verdict is Verdict.NON_CONFORMING
    assert found.verdict is Verdict.NON_CONFORMING


def test_depths_before_the_last_fill_do_not_count() -> None:
    before, after = site.depth_check(300, 310, minute=10), site.depth_check(360, 364, minute=30)
    found = found_of(attic_fill(700), attic_fill(113, minute=20), checks=(before, after))
    assert (found.depths, found.thickness.thickness_mm) == (2, 362)


def test_of_identical_cavities_every_depth_counts() -> None:
    plan = site.planned(builders.attic(count=2))
    before, after = site.depth_check(360, 364, minute=10), site.depth_check(366, minute=30)
    found = found_of(attic_fill(700), attic_fill(926, minute=20), checks=(before, after), plan=plan)
    assert (found.depths, found.depths_needed) == (3, 12)
    assert found.area_m2 == pytest.approx(2 * 75.2)


def test_one_depth_has_the_rulers_uncertainty_alone() -> None:
    found = found_of(checks=(site.depth_check(360),))
    assert found.thickness.u_mm == pytest.approx(3 / sqrt(3))
    assert found.mass_per_area is None


def test_markers_are_the_most_that_were_counted_at_once() -> None:
    """80 m2 at one marker for each 28 m2: 3 (IECC R303.1.1.1)."""
    checks = (site.depth_check(360, markers=2, minute=1), site.depth_check(360, markers=1, minute=2))
    found = found_of(attic_fill(800), checks=checks)
    assert (found.markers, found.markers_needed) == (2, 3)
    assert found_of(attic_fill(800)).markers is None


def test_without_evidence_there_is_no_verdict() -> None:
    found = found_of()
    assert (found.mass_per_area, found.thickness, found.verdict) == (None, None, None)


def test_the_practice_says_how_many_depths_are_needed() -> None:
    basis = site.basis()
    sampling = replace(basis.practice.sampling, at_least_depths=9)
    basis = replace(basis, practice=replace(basis.practice, sampling=sampling))
    found = open_blow_finding(planned=PLAN, plan=PLAN.open_blow, fills=(), checks=(), basis=basis)
    assert found.depths_needed == 9
