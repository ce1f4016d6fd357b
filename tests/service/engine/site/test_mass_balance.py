from dataclasses import replace
from math import sqrt

import numpy
import pytest
from uncertainties import ufloat

from service.engine.geometry.compartments import parts
from service.engine.geometry.geometry import geometry
from service.engine.ground.uncertainty import budget
from service.engine.ground.vocabulary import Facing, Runs
from service.engine.site.mass_balance import Bulge, bulge, bulge_volume, net_blown, volume
from service.engine.site.planned import spaces, whole
from service.engine.survey.cavity import Cavity
from tests import builders, site

WORKED = {
    "scale_half_kg": 0.1,
    "length_half_mm": 3,
    "bay_width_half_mm": 2,
    "depth_half_mm": 3,
}


def worked():
    """22.5 kg in one bay of 2.400 x 0.560 x 0.300 m."""
    plan = site.planned(site.one_bay())
    mass = net_blown(fills=(site.fill(mass_kg=22.5),), basis=site.basis(**WORKED))
    net = volume(planned=plan, space=whole(planned=plan), uncertainties=site.uncertainties(**WORKED))
    return mass, net


def test_worked_example() -> None:
    """Derived by arithmetic and with two packages: 55.803571 kg/m3, u 0.3730511, depth the largest part."""
    mass, net = worked()
    found = mass.over(net)
    assert mass.u == pytest.approx(0.0577350, abs=5e-8)
    assert net.value == pytest.approx(0.4032, abs=1e-12)
    assert found.value == pytest.approx(55.803571, abs=5e-7)
    assert found.u == pytest.approx(0.3730511, abs=5e-8)
    lines = [(line.name, round(line.u_kg_m3, 5)) for line in budget(density=found)]
    assert lines == [("depth", 0.32218), ("scale", 0.14319), ("width", 0.11507), ("length", 0.04027)]


def test_worked_example_agrees_with_the_uncertainties_library() -> None:
    sizes = [ufloat(2.4, 0.003 / sqrt(3)), ufloat(0.56, 0.002 / sqrt(3)), ufloat(0.3, 0.003 / sqrt(3))]
    expected = ufloat(22.5, 0.1 / sqrt(3)) / (sizes[0] * sizes[1] * sizes[2])
    mass, net = worked()
    found = mass.over(net)
    assert found.value == pytest.approx(expected.nominal_value, rel=1e-12)
    assert found.u == pytest.approx(expected.std_dev, rel=1e-9)


WIDE = {
    "length_half_mm": 8,
    "depth_half_mm": 4,
    "member_half_mm": 2,
    "timber_fraction_u": 0.02,
    "bay_width_half_mm": 3,
}


def drawn(cavity: Cavity, rng: numpy.random.Generator) -> Cavity:
    """The cavity as it might really be: every size drawn anew within its half-width."""

    def off(half: float) -> float:
        return float(rng.uniform(-half, half))

    layers = []
    for layer in cavity.layers:
        framing = layer.framing
        if framing is not None and framing.member_mm is not None:
            framing = replace(framing, member_mm=framing.member_mm + off(2))
        if framing is not None and framing.timber_fraction is not None:
            framing = replace(framing, timber_fraction=framing.timber_fraction + float(rng.normal(0, 0.02)))
        layers.append(replace(layer, depth_mm=layer.depth_mm + off(4), framing=framing))
    openings = tuple(
        replace(each, width_m=each.width_m + off(0.008), height_m=each.height_m + off(0.008))
        for each in cavity.openings
    )
    return replace(
        cavity,
        width_m=cavity.width_m + off(0.008),
        span_m=cavity.span_m + off(0.008),
        layers=tuple(layers),
        openings=openings,
    )


@pytest.mark.parametrize(
    "cavity",
    [
        builders.wall(),
        builders.wall(openings=(builders.opening(count=2, trim_mm=45),)),
        builders.wall(width_m=1.2, span_m=0.8),
        builders.wall(layers=(builders.layer(145, builders.fraction()), builders.layer(60)), count=3),
        builders.floor(dividers=False, layers=(builders.layer(60), builders.layer(140, builders.framing()))),
        builders.stud_wall(
            layers=(
                builders.layer(95, builders.framing(runs=Runs.ACROSS, plates_mm=0)),
                builders.layer(145, builders.framing()),
            )
        ),
    ],
    ids=["twin studs", "openings", "small", "timber fraction", "open layer", "crossing members"],
)
def test_the_volume_of_a_shared_space_by_drawing_all_its_sizes(cavity: Cavity) -> None:
    """JCGM 101: the geometry worked out for 3000 sets of sizes; their deviation is known to 1.3 %."""
    rng = numpy.random.default_rng(101)
    volumes = [geometry(cavity=drawn(cavity, rng)).net_volume_m3 for _ in range(3000)]
    plan = site.planned(cavity)
    found = volume(planned=plan, space=whole(planned=plan), uncertainties=site.uncertainties(**WIDE))
    assert found.value == pytest.approx(float(numpy.mean(volumes)), rel=1e-3)
    assert found.u == pytest.approx(float(numpy.std(volumes)), rel=0.06)


def test_the_volume_of_a_bay_takes_the_clear_width_of_that_bay() -> None:
    """Bay 1 of the 6 m wall is 0.555 m clear, the last one narrower: 3 mm count for more there."""
    plan = site.planned(builders.stud_wall())
    bays = spaces(planned=plan, bays_named=True)
    found = [
        volume(planned=plan, space=bay, uncertainties=site.uncertainties(**WIDE))
        for bay in (bays[0], bays[9])
    ]
    for net, width_m in zip(found, (0.555, 0.51), strict=True):
        share = next(share for share in net.shares if share.name == "width")
        assert share.u / net.value == pytest.approx(0.003 / sqrt(3) / width_m)
        assert {each.name for each in net.shares} == {"width", "length", "depth"}


def test_bays_that_lie_across_have_their_width_upright() -> None:
    """Members across the span: the bay's width is upright and its length is the cavity's width."""
    cavity = site.one_bay(
        width_m=2.4,
        span_m=0.65,
        layers=(builders.layer(300, builders.framing(spacing_mm=605, plates_mm=0, runs=Runs.ACROSS)),),
    )
    plan = site.planned(cavity)
    found = volume(planned=plan, space=whole(planned=plan), uncertainties=site.uncertainties(**WORKED))
    assert found.value == pytest.approx(0.4032, abs=1e-9)
    assert found.u == pytest.approx(worked()[1].u)


def test_identical_cavities_share_their_errors() -> None:
    """Measured once: three times the volume has three times the uncertainty."""
    one, three = (site.planned(builders.wall(count=count)) for count in (1, 3))
    found = [
        volume(planned=plan, space=whole(planned=plan), uncertainties=site.uncertainties(**WIDE))
        for plan in (one, three)
    ]
    assert found[1].value == pytest.approx(3 * found[0].value)
    assert found[1].u == pytest.approx(3 * found[0].u)


def test_a_cavitys_own_uncertainty_of_the_timber_fraction_goes_before_that_of_the_practice() -> None:
    shares = []
    for own in (0.05, None):
        framing = builders.fraction(0.15, timber_fraction_u=own)
        plan = site.planned(builders.wall(layers=(builders.layer(200, framing),)))
        net = volume(planned=plan, space=whole(planned=plan), uncertainties=site.uncertainties(**WIDE))
        shares.append(next(share.u for share in net.shares if share.name == "timber fraction"))
    assert shares == pytest.approx([0.2 * 9.4 * 2.65 * 0.05, 0.2 * 9.4 * 2.65 * 0.02])


def test_bags_and_weighed_fills_add_up_and_what_was_taken_out_goes_off() -> None:
    fills = (site.fill(bags=3), site.fill(mass_kg=20, removed_kg=2.5), site.fill(mass_kg=10))
    found = net_blown(fills=fills, basis=site.basis(site.bag(12.5, 0.1), bag_count_half=0.5))
    assert found.value == pytest.approx(3 * 12.5 + 20 - 2.5 + 10)


def test_readings_of_one_scale_do_not_average_out() -> None:
    """Four readings off by the same 0.1 kg: four times 0.0577, not twice."""
    fills = tuple(site.fill(mass_kg=10) for _ in range(4))
    assert net_blown(fills=fills, basis=site.basis(scale_half_kg=0.1)).u == pytest.approx(4 * 0.1 / sqrt(3))


def test_the_scales_error_never_cancels_against_what_was_taken_out() -> None:
    with_removal = net_blown(
        fills=(site.fill(mass_kg=20, removed_kg=5),), basis=site.basis(scale_half_kg=0.1)
    )
    assert with_removal.u == pytest.approx(2 * 0.1 / sqrt(3))


def test_counts_of_bags_are_each_off_by_themselves_and_the_mean_bag_by_all() -> None:
    """Two fills of 4 bags: 8 x 0.1 kg in common, half a bag each by itself."""
    basis = site.basis(site.bag(12.5, 0.1), bag_count_half=0.5)
    found = net_blown(fills=(site.fill(bags=4), site.fill(bags=4)), basis=basis)
    assert found.u == pytest.approx(sqrt(0.8**2 + 2 * (12.5 * 0.5 / sqrt(3)) ** 2))


def test_the_bulge_is_the_last_one_measured_in_each_bay() -> None:
    fills = (
        site.fill(bay=1, mass_kg=5, bulge_mm=4),
        site.fill(bay=2, mass_kg=5, bulge_mm=20),
        site.fill(bay=1, mass_kg=5, bulge_mm=10),
        site.fill(bay=3, mass_kg=5),
    )
    found = bulge(fills=fills, cavity=builders.wall(), practice=site.practice(bulge_half_mm=5))
    assert found == Bulge(bulge_mm=15, half_mm=5, measured=True)


def test_a_bulge_that_was_not_measured_is_anything_up_to_twice_what_is_expected() -> None:
    netting = builders.wall(facing=Facing.NETTING)
    assert bulge(fills=(), cavity=netting, practice=builders.practice()) == Bulge(
        bulge_mm=20, half_mm=20, measured=False
    )
    assert bulge(fills=(), cavity=builders.wall(), practice=builders.practice()) == Bulge(
        bulge_mm=0, half_mm=0, measured=False
    )


def test_the_bulge_adds_five_ninths_of_its_rectangle() -> None:
    """Midway between two parabolas: 5/9 x 0.015 x 0.56 x 2.4 m in each of two identical cavities."""
    plan = site.planned(site.one_bay(count=2))
    found = bulge_volume(
        planned=plan,
        space=whole(planned=plan),
        bulge=Bulge(bulge_mm=15, half_mm=5, measured=True),
        parts=parts(cavity=plan.cavity),
    )
    assert found.value == pytest.approx(2 * 5 / 9 * 0.015 * 0.56 * 2.4)
    assert found.u == pytest.approx(found.value / 3 / sqrt(3))
