"""A cavity as it was found."""

from dataclasses import replace
from math import ceil, fsum

import pytest

from service.engine.ground.vocabulary import BayState, ConditionCode, Element, Market, Method, Standing
from service.engine.site.as_found import as_found
from service.engine.site.entry_faults import faults
from service.engine.survey.practice import SheetDensity
from tests import builders, site

# Three layers of 145, 120 and 95 mm.
WALL = site.planned(builders.wall())


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


@pytest.mark.parametrize(("depth_mm", "r"), [(140.4, 20), (136, None)])
def test_the_makers_r_is_of_the_depth_that_was_found_or_it_is_none(depth_mm: float, r: float | None) -> None:
    """16 CFR 460.17: a chart's row of 140 mm says nothing of a wall that is 136 mm deep."""
    wall, ours = site.planned(builders.stud_wall()), builders.practice(market=Market.US)
    (found,) = site.assessed(
        wall,
        entries=(site.fill(cavity="W2", mass_kg=100), site.found(cavity="W2", depth_mm=(depth_mm,))),
        practice=ours,
    ).as_found
    assert found.thermal is not None
    assert found.thermal.label_r == r
    assert (found.thermal.r_fill, found.thermal.u_value_w_m2k) == (found.r_fill, found.u_value_w_m2k)


def test_the_window_is_of_the_depth_that_was_found() -> None:
    """A deep fill may weigh less: 75 kg/m3 at 200 mm, 70 at 400 mm, by the sheet in tests/builders.py."""
    sheet = builders.material(
        densities=(SheetDensity(element=Element.WALL, lowest_kg_m3=50, target_kg_m3=55, highest_kg_m3=90),)
    )
    deep = builders.layer(200, builders.framing(spacing_mm=600))
    wall, fill = site.planned(builders.stud_wall(layers=(deep,))), site.fill(cavity="W2", mass_kg=200)
    deeper = site.found(cavity="W2", depth_mm=(400,))
    (before,), (after,) = (
        site.assessed(wall, entries=said, material=sheet).as_found for said in ((fill,), (fill, deeper))
    )
    assert before.density is None
    assert after.density.highest_kg_m3.value == 70
    assert (before.as_it_is, after.as_it_is.depth_mm) == (None, 400)


def test_a_depth_that_nobody_measured_is_told() -> None:
    (_, beside, _) = assessed(site.fill(mass_kg=500))
    assert (beside.depth_measured, beside.depth_mm, beside.thermal) == (False, 360, None)


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


@pytest.mark.parametrize("state", BayState)
@pytest.mark.parametrize(
    "cavity",
    [site.one_bay(), builders.stud_wall(), builders.wall(), builders.attic()],
    ids=lambda each: each.label,
)
def test_a_part_that_takes_no_fill_at_all_is_told_as_one_without_any(cavity, state: BayState) -> None:
    planned = site.planned(cavity)
    bays = [site.found(cavity.label, bay=bay, state=state) for bay in range(1, planned.geometry.bays + 1)]
    part, beside, unmet = assessed(*bays, planned=planned)
    assert (part.mass_kg, part.compartments, part.open_blow, part.verdict) == (None, (), None, None)
    assert (beside.net_volume_m3, beside.net_area_m2) == pytest.approx((0, 0), abs=1e-9)
    assert (ConditionCode.FILL_MISSING, cavity.label) in unmet


def test_what_went_into_bays_apart_is_in_the_walls_and_of_no_density() -> None:
    """Two closed bays of 10 kg each: one turns out to be blocked, and the other has 10 kg, not 20."""
    planned = site.planned(builders.stud_wall(width_m=1.245))
    entries = (
        site.fill("W2", 10, bay=1, mass_kg=10, run_empty=True),
        site.fill("W2", 20, bay=2, mass_kg=10, run_empty=True),
        site.found("W2", 30, bay=1, state=BayState.BLOCKED),
    )
    found = site.assessed(planned, entries=entries)
    (space,) = found.cavities[0].compartments
    assert (space.bays, space.mass_kg) == ((2,), pytest.approx(10))
    assert found.mass_kg == pytest.approx(20)
    assert found.whereabouts.in_machine_kg == pytest.approx(0, abs=1e-9)


def test_an_open_blow_covers_what_takes_fill() -> None:
    """10 x 8 m with 17 joists of 50 mm: 15 bays of 0.55 m and one of 0.4 m; four of 0.55 m are full."""
    planned = site.planned(builders.attic())
    full = [site.found("A1", bay=bay, state=BayState.FULL) for bay in range(1, 5)]
    fill = site.tally("A1", mass_kg=600, method=Method.OPEN_BLOW, run_empty=True)
    before, _, _ = assessed(fill, planned=planned)
    after, beside, _ = assessed(*full, fill, planned=planned)
    widths_m = planned.geometry.bay_widths_m
    kept = 1 - 4 * 0.55 / sum(widths_m)
    assert widths_m[:4] == pytest.approx([0.55] * 4)
    assert after.open_blow.area_m2 == pytest.approx(before.open_blow.area_m2 * kept)
    assert after.open_blow.area_m2 == pytest.approx(beside.net_volume_m3 / 0.3)
    assert after.open_blow.mass_per_area.mass_per_area_kg_m2 == pytest.approx(600 / after.open_blow.area_m2)
    assert after.open_blow.markers_needed == ceil(80 * kept / builders.practice().marker_area_m2)
    relative = [each.open_blow.expanded_u_area_m2 / each.open_blow.area_m2 for each in (before, after)]
    assert relative[1] == pytest.approx(relative[0])


def test_a_depth_that_no_density_suits_can_be_told_and_blocks() -> None:
    """The sheet's loadings end at 400 mm: a wall that turns out to be 420 mm deep has none."""
    deeper = site.found(depth_mm=(420,))
    fitting = faults(
        ledger=site.ledger(deeper), planned=(WALL,), hold_points=(), practice=builders.practice()
    )
    assert fitting == ()
    part, beside, unmet = assessed(deeper, site.fill(mass_kg=500))
    assert (ConditionCode.LOADING_EXCEEDED, "W1") in unmet
    assert (beside.depth_mm, part.compartments[0].net_volume_m3) == pytest.approx((420, 9.816792))


def test_a_posted_target_does_not_stand_in_the_way_of_what_was_found() -> None:
    """The firm declares 50 to 60 kg/m3 up to 300 mm and 55 to 70 beyond: 52 suits 295 mm and not 305."""
    profile = builders.practice()
    declared = replace(
        profile, bands=tuple(replace(each, standing=Standing.DECLARED) for each in profile.bands)
    )
    framed = (
        builders.layer(145, builders.framing()),
        builders.layer(55),
        builders.layer(95, builders.framing()),
    )
    planned = site.planned(builders.wall(layers=framed, target_kg_m3=52))
    deeper = as_found(
        planned=planned,
        found=(site.found(depth_mm=(305,)),),
        material=builders.material(),
        practice=declared,
    )
    assert planned.density.target_kg_m3.value == 52
    assert (deeper.density.lowest_kg_m3.value, deeper.density.target_kg_m3.value) == (55, 60)
    assert deeper.unfit is None


def test_what_is_displaced_in_a_bay_apart_takes_no_room_from_the_others() -> None:
    """Ducts of 0.3 m3 stand in bay 3, which was boxed in: the other fourteen have what they had without."""
    ducts = site.planned(builders.wall(displaced=builders.displaced(0.3, bay=3)))
    blocked = site.found(bay=3, state=BayState.BLOCKED)
    (space,), (without,) = (found_of(blocked, planned=each).compartments for each in (ducts, WALL))
    assert space.net_volume_m3 == pytest.approx(without.net_volume_m3)


def test_bays_that_were_counted_anew_have_other_numbers_than_a_survey_s() -> None:
    """What is displaced in bay 10 of ten is in one of five now, and nobody knows which."""
    piped = site.planned(builders.stud_wall(displaced=builders.displaced(0.01, bay=10)))
    members = (0.0, 1.2, 2.4, 3.6, 4.8, 5.955)
    found = found_of(site.found("W2", members_at_m=members), planned=piped)
    assert [each.bay for each in found.cavity.displaced] == [None]
    assert len(found.compartments) == 5
