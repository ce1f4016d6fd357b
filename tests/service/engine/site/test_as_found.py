"""A cavity as it was found."""

from math import fsum

import pytest

from service.engine.ground.vocabulary import BayState, ConditionCode
from service.engine.site.as_found import as_found, bay_states, counted_sizes, found_depth_mm
from service.engine.site.entry_faults import faults
from tests import builders, site

# Three layers of 145, 120 and 95 mm.
WALL = site.planned(builders.wall())


def test_a_depth_that_nobody_measured_is_not_known() -> None:
    assert found_depth_mm(planned=WALL, found=()) is None
    assert found_depth_mm(planned=WALL, found=(site.found(member_mm=50),)) is None


def test_readings_of_the_total_depth_are_taken_together() -> None:
    found = (site.found(depth_mm=(350, 352)), site.found(depth_mm=(354,)))
    assert found_depth_mm(planned=WALL, found=found) == pytest.approx(352)


def test_a_reading_of_one_layer_changes_that_layer_alone() -> None:
    found = (site.found(depth_mm=(100, 110), layer=2),)
    assert found_depth_mm(planned=WALL, found=found) == pytest.approx(145 + 105 + 95)


def found_of(*entries, planned=WALL):
    return as_found(
        planned=planned, found=entries, material=builders.material(), practice=builders.practice()
    )


def assessed(*entries, planned=WALL):
    found = site.assessed(planned, entries=entries)
    return found.cavities[0], found.as_found[0], {(each.code, each.subject) for each in found.conditions}


def test_a_total_depth_is_taken_up_by_the_open_layer() -> None:
    """340 mm, not 360: the open layer of 9.4 x 2.65 m is 20 mm thinner, 0.4982 m3 of 8.322192 less."""
    found = found_of(site.found(depth_mm=(339, 341)))
    assert [layer.depth_mm for layer in found.cavity.layers] == pytest.approx([145, 100, 95])
    assert found.geometry.net_volume_m3 == pytest.approx(8.322192 - 0.02 * 9.4 * 2.65, rel=1e-9)
    assert fsum(each.net_volume_m3 for each in found.compartments) == pytest.approx(
        found.geometry.net_volume_m3
    )


def test_density_and_r_follow_what_was_found_and_what_was_quoted_stays_beside_it() -> None:
    """As much as was planned for 360 mm, blown into 340 mm, lies denser by the ratio of the volumes."""
    fill = site.fill(mass_kg=500)
    (before, _, _), (after, beside, _) = assessed(fill), assessed(fill, site.found(depth_mm=(340,)))
    ratio = 8.322192 / (8.322192 - 0.02 * 9.4 * 2.65)
    denser = after.compartments[0].mass_balance.density_kg_m3
    assert denser == pytest.approx(before.compartments[0].mass_balance.density_kg_m3 * ratio)
    assert (beside.depth_measured, beside.depth_mm, beside.quoted_depth_mm) == (True, 340, 360)
    assert beside.quoted_net_volume_m3 == pytest.approx(8.322192)
    assert beside.r_fill == pytest.approx(0.340 / builders.material().conductivity_w_mk)


def test_a_depth_that_nobody_measured_is_told() -> None:
    (_, beside, _) = assessed(site.fill(mass_kg=500))
    assert (beside.depth_measured, beside.depth_mm) == (False, 360)


def test_members_that_were_counted_take_the_place_of_the_regular_grid() -> None:
    """9.4 m with 15 members instead of 16: fourteen bays, evenly spread."""
    found = found_of(site.found(members=15))
    assert found.geometry.bays == 14
    assert found.geometry.net_volume_m3 > WALL.geometry.net_volume_m3
    stud = site.planned(builders.stud_wall())
    wider = found_of(site.found("W2", member_mm=60), planned=stud)
    assert wider.geometry.net_volume_m3 < stud.geometry.net_volume_m3


@pytest.mark.parametrize("state", BayState)
def test_a_bay_that_takes_no_fill_is_apart_and_no_fill_is_missing_there(state: BayState) -> None:
    stud = site.planned(builders.stud_wall())
    fills = [site.fill("W2", bay=bay, mass_kg=10) for bay in range(1, 11) if bay != 4]
    _, _, before = assessed(*fills, planned=stud)
    assert (ConditionCode.FILL_MISSING, "W2/4") in before
    cavity, beside, after = assessed(*fills, site.found("W2", bay=4, state=state), planned=stud)
    assert (ConditionCode.FILL_MISSING, "W2/4") not in after
    assert [space.label for space in cavity.compartments] == [f"W2/{bay}" for bay in range(1, 11) if bay != 4]
    ((bay, met),) = [(each.bay, each.state) for each in beside.apart]
    assert (bay, met) == (4, state)
    assert beside.net_area_m2 < stud.geometry.net_area_m2
    assert beside.net_volume_m3 < beside.quoted_net_volume_m3


def test_a_bay_apart_leaves_a_shared_space_by_its_clear_area() -> None:
    (space,) = found_of(site.found(bay=1, state=BayState.FULL)).compartments
    (whole,) = WALL.compartments
    assert space.bays == tuple(range(2, 16))
    assert space.net_volume_m3 == pytest.approx(whole.net_volume_m3 * 14 / 15, rel=0.01)


def test_what_was_corrected_does_not_count() -> None:
    full, filled = site.found(bay=1, state=BayState.FULL), site.found(minute=5, bay=1, state=BayState.ABSENT)
    assert bay_states(found=(full, filled)) == {1: BayState.ABSENT}


@pytest.mark.parametrize(
    ("planned", "entry", "pointer"),
    [
        (WALL, site.found(depth_mm=(200,)), "/depth_mm"),
        (site.planned(builders.stud_wall()), site.found("W2", layer=2, depth_mm=(140,)), "/layer"),
        (site.planned(builders.stud_wall()), site.found("W2", member_mm=700), "/member_mm"),
    ],
    ids=["less than the framed layers", "a layer that is not there", "members wider than their spacing"],
)
def test_what_cannot_be_is_refused(planned, entry, pointer: str) -> None:
    found = faults(
        ledger=site.ledger(entry), planned=(planned,), hold_points=(), practice=builders.practice()
    )
    assert {each.pointer for each in found} == {pointer}


def test_the_sizes_that_were_found_are_counted_and_the_others_are_the_surveys() -> None:
    errors = builders.practice().uncertainties.survey
    depth = counted_sizes(cavity=builders.wall(), found=(site.found(depth_mm=(340.0,)),), errors=errors)
    assert (depth.depth_mm, depth.member_mm) == (errors.counted.depth_mm, errors.drawn.member_mm)
    members = counted_sizes(cavity=builders.wall(), found=(site.found(member_mm=50.0),), errors=errors)
    assert (members.depth_mm, members.member_mm) == (errors.drawn.depth_mm, errors.counted.member_mm)
