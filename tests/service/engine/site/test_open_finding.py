from dataclasses import replace
from math import sqrt

import pytest

from service.engine.ground.vocabulary import Method, Verdict
from tests import builders, site
from tests.evidence import practice, shown

DEPTHS = (360, 364, 356, 368, 352, 360)


def attic_fill(mass_kg: float, minute: float = 0.0):
    return site.fill("A1", minute=minute, mass_kg=mass_kg, method=Method.OPEN_BLOW, run_empty=True)


def found_of(*entries, profile=None):
    return shown(builders.attic(), *entries, profile=profile or practice()).open_blow


def test_mass_per_area_is_held_against_the_mass_that_is_required() -> None:
    """300 mm settled of 35 kg/m3: 10.5 kg/m2 on 75.2 m2 clear of joists; 3 % more was blown."""
    found = found_of(attic_fill(813.3)).mass_per_area
    assert found.required_kg_m2 == pytest.approx(10.5)
    assert found.mass_per_area_kg_m2 == pytest.approx(813.3 / 75.2)
    assert found.verdict is Verdict.CONFORMING
    assert found.expanded_u_kg_m2 == pytest.approx(2 * found.u_kg_m2)


def test_depth_is_no_part_of_the_areas_error() -> None:
    firm = builders.practice()
    survey = firm.uncertainties.survey

    def deeper(half_mm: float):
        sizes = replace(survey.drawn, depth_mm=half_mm)
        errors = replace(firm.uncertainties, survey=replace(survey, drawn=sizes))
        return found_of(attic_fill(813.3), profile=replace(firm, uncertainties=errors))

    assert deeper(1.0).expanded_u_area_m2 == pytest.approx(deeper(50.0).expanded_u_area_m2)
    assert deeper(1.0).expanded_u_area_m2 > 0


@pytest.mark.parametrize(
    ("mass_kg", "verdict"),
    [(789.6, Verdict.INCONCLUSIVE), (770, Verdict.NON_CONFORMING), (900, Verdict.CONFORMING)],
)
def test_only_too_little_is_wrong_of_an_open_blow(mass_kg: float, verdict: Verdict) -> None:
    """Just the required mass is shown with one half."""
    profile = practice(weighing={"scale_half_kg": 1.0})
    found = found_of(attic_fill(mass_kg), profile=profile).mass_per_area
    assert found.verdict is verdict
    if verdict is Verdict.INCONCLUSIVE:
        assert found.probability == pytest.approx(0.5, abs=1e-6)


def test_spill_is_not_in_the_floor() -> None:
    swept = found_of(attic_fill(813.3), site.reclaimed(13.3)).mass_per_area
    assert swept.mass_per_area_kg_m2 == pytest.approx(800 / 75.2)


def test_thickness_is_the_mean_of_the_depths() -> None:
    """Six depths, s = 5.6569: t for 5 degrees of freedom and 95.45 % is 2.6487 (scipy), ruler +- 5 mm."""
    found = found_of(attic_fill(813.3), site.depth_check(*DEPTHS)).thickness
    scatter = 2.6486494 / 2 * 5.656854 / sqrt(6)
    assert found.thickness_mm == 360
    assert found.required_mm == pytest.approx(300 / 0.85)
    assert found.u_mm == pytest.approx(sqrt(scatter**2 + 25 / 3), rel=1e-6)
    assert found.settled_mm == pytest.approx(306)
    assert (found.lowest_mm, found.highest_mm) == (352, 368)


def test_few_depths_have_the_declared_evenness() -> None:
    """10 mm from place to place: two readings say more than one, however far apart they are."""
    one, two = (
        found_of(attic_fill(813.3), site.depth_check(*depths)).thickness for depths in ((360,), (340, 380))
    )
    assert one.u_mm == pytest.approx(sqrt(10**2 + 25 / 3))
    assert two.u_mm == pytest.approx(sqrt(10**2 / 2 + 25 / 3))


def test_depths_are_of_what_a_later_tally_counts() -> None:
    """Blown, measured, and then told to be done: nobody measures again for having typed last."""
    tally = site.tally("A1", minute=90, mass_kg=813.3, holes=None, patched=None)
    found = found_of(site.depth_check(*DEPTHS), tally)
    assert (found.depths, found.thickness.thickness_mm) == (6, 360)
    again = found_of(attic_fill(800), site.depth_check(*DEPTHS), attic_fill(13.3, minute=80), tally)
    assert again.depths == 0


def test_depths_from_before_the_last_fill_do_not_count() -> None:
    found = found_of(
        attic_fill(700), site.depth_check(*DEPTHS, minute=60), attic_fill(113.3, 70), site.depth_check(360)
    )
    assert found.depths == 0
    assert found.thickness is None
    assert found_of(attic_fill(700), site.depth_check(*DEPTHS)).depths == 6


def test_markers_are_the_most_that_one_check_counted() -> None:
    found = found_of(attic_fill(813.3), site.depth_check(360, markers=2), site.depth_check(360, markers=3))
    assert (found.markers, found.markers_needed) == (3, 3)
    assert found_of(attic_fill(813.3)).markers is None


def test_the_worse_of_mass_and_thickness_decides() -> None:
    found = found_of(attic_fill(813.3), site.depth_check(*(each - 30 for each in DEPTHS)))
    assert found.mass_per_area.verdict is Verdict.CONFORMING
    assert found.verdict is Verdict.NON_CONFORMING
    assert found_of().verdict is None


def test_a_thickness_that_nobody_measured_is_not_shown_by_the_mass() -> None:
    assert found_of(attic_fill(813.3)).verdict is None
    assert found_of(attic_fill(770)).verdict is Verdict.NON_CONFORMING


def test_its_density_as_blown_takes_what_was_measured_and_nothing_else() -> None:
    """813.3 kg on 75.2 m2, 360 mm thick: 30.04 kg/m3; without a reading nothing is said."""
    both = shown(builders.attic(), attic_fill(813.3), site.depth_check(*DEPTHS))
    assert both.installed.density_kg_m3 == pytest.approx(813.3 / 75.2 / 0.36)
    mass, thickness = both.open_blow.mass_per_area, both.open_blow.thickness
    relative = sqrt((mass.u_kg_m2 / mass.mass_per_area_kg_m2) ** 2 + (thickness.u_mm / 360) ** 2)
    assert both.installed.expanded_u_kg_m3 == pytest.approx(2 * relative * both.installed.density_kg_m3)
    assert shown(builders.attic(), attic_fill(813.3)).installed is None
