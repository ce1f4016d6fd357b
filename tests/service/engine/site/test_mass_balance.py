from math import sqrt

import pytest
from uncertainties import ufloat

from service.engine.geometry.compartments import parts
from service.engine.geometry.plane import plane
from service.engine.ground.uncertainty import budget
from service.engine.ground.vocabulary import BayState, Facing, FoundBy
from service.engine.plan.volume import Bulge
from service.engine.site.as_found import as_found
from service.engine.site.mass_balance import bulge, room, volume
from service.engine.site.planned import as_one_space, spaces
from tests import builders, site
from tests.evidence import WORKED, WORKED_SIZES, practice, shown


def net_of(planned, **asked):
    return volume(planned=planned, laid_out=plane(cavity=planned.cavity), **asked)


def worked():
    """22.5 kg in one bay of 2.400 x 0.560 x 0.300 m, the machine run empty before and after."""
    fill = site.fill(mass_kg=22.5, run_empty=True)
    (space,) = shown(site.one_bay(), fill, profile=WORKED).compartments
    return space


def test_worked_example() -> None:
    """Derived by arithmetic and with two packages: 55.803571 kg/m3, u 0.3730511, depth the largest part."""
    found = worked()
    assert found.expanded_u_mass_kg / 2 == pytest.approx(0.0577350, abs=5e-8)
    assert found.net_volume_m3 == pytest.approx(0.4032, abs=1e-12)
    balance = found.mass_balance
    assert balance.how is FoundBy.MASS_BALANCE
    assert balance.density_kg_m3 == pytest.approx(55.803571, abs=5e-7)
    assert balance.u_kg_m3 == pytest.approx(0.3730511, abs=5e-8)
    lines = [(line.name.code, round(line.u_kg_m3, 5)) for line in balance.budget]
    assert lines == [
        ("budget.depth", 0.32218),
        ("budget.scale", 0.14319),
        ("budget.width", 0.11507),
        ("budget.length", 0.04027),
    ]


def test_worked_example_agrees_with_the_uncertainties_library() -> None:
    sizes = [ufloat(2.4, 0.003 / sqrt(3)), ufloat(0.56, 0.002 / sqrt(3)), ufloat(0.3, 0.003 / sqrt(3))]
    expected = ufloat(22.5, 0.1 / sqrt(3)) / (sizes[0] * sizes[1] * sizes[2])
    found = worked().mass_balance
    assert found.density_kg_m3 == pytest.approx(expected.nominal_value, rel=1e-12)
    assert found.u_kg_m3 == pytest.approx(expected.std_dev, rel=1e-9)


def test_the_volume_of_a_bay_takes_the_clear_width_of_that_bay() -> None:
    """Bay 1 of the 6 m wall is 0.555 m clear, the last one narrower: 2 mm count for more there."""
    plan = site.planned(builders.stud_wall())
    bays = spaces(planned=plan, bays_named=True)
    found = [net_of(plan, space=bay, practice=practice(WORKED_SIZES)) for bay in (bays[0], bays[9])]
    for net, width_m in zip(found, (0.555, 0.51), strict=True):
        share = next(share for share in net.shares if share.name == "width")
        assert abs(share.u) / net.value == pytest.approx(0.002 / sqrt(3) / width_m)


def test_sizes_measured_on_site_take_the_place_of_the_surveys() -> None:
    """A depth that was found is known better than the drawing's."""
    plan = site.planned(site.one_bay())
    drawn = builders.practice()
    counted = drawn.uncertainties.survey.counted
    us = [
        net_of(each, space=as_one_space(planned=plan), practice=drawn).u
        for each in (plan, site.with_sizes(plan, counted))
    ]
    assert us[1] < us[0]


def test_what_is_left_of_a_space_errs_as_much_for_its_size_as_all_of_it() -> None:
    """Six bays of fifteen were met full: a depth 3 mm off is so much of nine bays, not of fifteen."""
    plan, profile = site.planned(builders.wall()), practice(WORKED_SIZES)
    full = tuple(site.found(bay=bay, state=BayState.FULL) for bay in range(1, 7))
    left = as_found(planned=plan, found=full, material=builders.material(), practice=profile)
    whole, rest = (net_of(each, space=as_one_space(planned=each), practice=profile) for each in (plan, left))
    assert rest.value == pytest.approx(whole.value * 9 / 15, rel=0.01)
    assert rest.u / rest.value == pytest.approx(whole.u / whole.value)
    assert {share.name for share in rest.shares} == {share.name for share in whole.shares}


def test_the_bulge_is_the_last_one_measured_in_each_bay() -> None:
    fills = (
        site.fill(bay=1, mass_kg=5, bulge_mm=4),
        site.fill(bay=2, mass_kg=5, bulge_mm=20),
        site.fill(bay=1, mass_kg=5, bulge_mm=10),
        site.fill(bay=3, mass_kg=5),
    )
    firm = builders.practice()
    found = bulge(fills=fills, cavity=builders.wall(), practice=firm)
    half_mm = firm.uncertainties.reading.bulge_half_mm
    assert found == Bulge(bulge_mm=15, half_mm=half_mm, measured=True)


def test_a_bulge_that_nobody_measured_is_half_of_what_is_allowed_within_as_much() -> None:
    netting = builders.wall(facing=Facing.NETTING)
    assert bulge(fills=(), cavity=netting, practice=builders.practice()) == Bulge(
        bulge_mm=10, half_mm=10, measured=False
    )
    assert bulge(fills=(), cavity=builders.wall(), practice=builders.practice()) == Bulge(
        bulge_mm=0, half_mm=0, measured=False
    )


def test_a_board_that_was_seen_not_to_bulge_is_known_no_worse_than_one_that_nobody_looked_at() -> None:
    flat = bulge(
        fills=(site.fill(mass_kg=5, bulge_mm=0),), cavity=builders.wall(), practice=builders.practice()
    )
    assert flat == Bulge(bulge_mm=0, half_mm=0, measured=True)


def test_the_bulge_adds_five_ninths_of_its_box_within_a_ninth() -> None:
    """Parabolas: held on four sides 4/9, a long bay 2/3; 15 +- 5 mm over 0.56 x 2.4 m."""
    plan = site.planned(site.one_bay())
    found = room(
        planned=plan,
        space=as_one_space(planned=plan),
        fills=(site.fill(mass_kg=20, bulge_mm=15),),
        laid_out=plane(cavity=plan.cavity),
        parts=parts(cavity=plan.cavity),
        practice=practice(),
    )
    net, extra = found.net, found.extra
    box_m3 = 0.015 * 0.56 * 2.4
    assert (net.value, net.u) == pytest.approx((0.4032, 0))
    assert extra.value == pytest.approx(5 / 9 * box_m3)
    assert extra.u == pytest.approx(sqrt((5 / 9 * box_m3 / 3) ** 2 + (box_m3 / 9) ** 2) / sqrt(3))


def test_an_opening_takes_its_room_from_the_volume_and_errs_with_it() -> None:
    """Two windows without a place are twice one: what they hide counts, and twice its error."""
    room, us = [], []
    for count in (0, 1, 2):
        openings = (builders.opening(count=count),) if count else ()
        plan = site.planned(builders.wall(openings=openings))
        net = net_of(plan, space=as_one_space(planned=plan), practice=builders.practice())
        room.append(net.value)
        us.append(sum(share.u**2 for share in net.shares if share.name == "openings") ** 0.5)
    assert room[0] - room[1] == pytest.approx(room[1] - room[2], rel=1e-6)
    assert room[0] > room[1] > room[2]
    assert us[0] == 0 < us[1]
    assert us[2] == pytest.approx(2 * us[1], rel=1e-6)


def test_the_budget_names_the_largest_first() -> None:
    found = worked().mass_balance
    us = [line.u_kg_m3 for line in found.budget]
    assert us == sorted(us, reverse=True)
    assert budget(density=volume_of_nothing()) == ()


def volume_of_nothing():
    plan = site.planned(site.one_bay())
    return net_of(plan, space=as_one_space(planned=plan), practice=practice())
