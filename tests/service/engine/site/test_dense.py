from dataclasses import replace
from math import sqrt

import numpy
import pytest

from service.engine.ground.vocabulary import Facing, Feel, FoundBy, Verdict
from service.engine.site.dense import dense_findings
from tests import builders, site

WORKED = {"scale_half_kg": 0.1, "length_half_mm": 3, "bay_width_half_mm": 2, "depth_half_mm": 3}
ONE_BAY = site.one_bay()
CORE_55 = 72.9  # grams of a 75 x 300 mm core at 55.0 kg/m3


def found_of(cavity, *fills, samples=(), density=None, basis=None):
    plan = site.planned(cavity, density or site.limits(50, 60))
    return dense_findings(
        planned=plan,
        window=plan.density,
        fills=fills,
        samples=samples,
        basis=basis or site.basis(**WORKED),
    )


@pytest.mark.parametrize(
    ("lowest", "p", "verdict"),
    [
        (55, 0.98438, Verdict.CONFORMING),
        (55.5, 0.79211, Verdict.INCONCLUSIVE),
        (56, 0.29925, Verdict.INCONCLUSIVE),
        (57, 0.000669, Verdict.NON_CONFORMING),
    ],
)
def test_worked_example_from_fill_to_verdict(lowest: float, p: float, verdict: Verdict) -> None:
    """22.5 kg in 2.400 x 0.560 x 0.300 m: derived by arithmetic; (55.8036 - 57)/0.37305 = -3.207."""
    (found,) = found_of(ONE_BAY, site.fill(mass_kg=22.5), density=site.limits(lowest, 100))
    balance = found.mass_balance
    assert balance.density_kg_m3 == pytest.approx(55.803571, abs=5e-7)
    assert balance.u_kg_m3 == pytest.approx(0.3730511, abs=5e-8)
    assert balance.expanded_u_kg_m3 == pytest.approx(0.746, abs=5e-4)
    assert balance.budget[0].name == "depth"
    assert balance.probability == pytest.approx(p, abs=5e-6)
    assert found.achieved == balance
    assert (balance.how, found.verdict) == (FoundBy.MASS_BALANCE, verdict)


def drawn_densities(cavity, bags: float | None, mass_kg: float, n: int = 40_000):
    """JCGM 101: the density of a single bay with every input drawn from its own distribution."""
    rng = numpy.random.default_rng(9)
    width, length, depth = (
        size + rng.uniform(-half, half, n)
        for size, half in (
            (cavity.width_m - 0.09, 0.002),
            (cavity.span_m, 0.003),
            (cavity.layers[0].depth_mm / 1000, 0.003),
        )
    )
    if bags is None:
        mass = mass_kg + rng.uniform(-0.1, 0.1, n)
    else:
        mean = rng.normal(12.5, 0.1, n)
        mass = (bags + rng.uniform(-0.5, 0.5, n)) * mean + rng.normal(0, 0.2 * sqrt(bags), n)
    return mass / (width * length * depth)


@pytest.mark.parametrize("width_m", [0.24, 0.65, 1.3])
@pytest.mark.parametrize("depth_mm", [90, 300])
@pytest.mark.parametrize("target", [50.5, 55.0, 61.0])
@pytest.mark.parametrize("counted", [False, True])
@pytest.mark.parametrize("highest", [51.0, 60.0])
def test_density_and_probability_by_drawing_all_inputs(
    width_m: float, depth_mm: float, target: float, counted: bool, highest: float
) -> None:
    """JCGM 101 on a grid: small cavities, half a bag of uncertainty, windows narrower than the uncertainty.

    Where one rectangular input rules (half a bag, a shallow cavity's depth), the
    normal distribution is only near in between; towards 0 and 1, where verdicts
    are made, it is less sure than the drawn one and never more.
    """
    spacing = (width_m - 0.045) * 1000
    framing = builders.framing(spacing_mm=spacing, plates_mm=0)
    cavity = site.one_bay(width_m=width_m, layers=(builders.layer(depth_mm, framing),))
    mass_kg = target * (width_m - 0.09) * 2.4 * depth_mm / 1000
    bags = mass_kg / 12.5 if counted else None
    fill = site.fill(bags=bags) if counted else site.fill(mass_kg=mass_kg)
    basis = site.basis(site.bag(12.5, 0.1), spread_kg=0.2, bag_count_half=0.5, **WORKED)
    (found,) = found_of(cavity, fill, density=site.limits(50, highest), basis=basis)
    drawn = drawn_densities(cavity, bags, mass_kg)
    p = float(numpy.mean((drawn >= 50) & (drawn <= highest)))
    u = found.achieved.u_kg_m3
    assert found.achieved.density_kg_m3 == pytest.approx(float(drawn.mean()), abs=0.035 * u)
    assert u == pytest.approx(float(drawn.std()), rel=0.015)
    assert found.achieved.probability == pytest.approx(p, abs=0.105)
    if found.achieved.probability >= 0.95:
        assert p > 0.948
    if found.achieved.probability <= 0.05:
        assert p < 0.052


def test_two_bags_in_a_small_bay_say_nothing() -> None:
    """Half a bag in 0.108 m3 is 33 kg/m3 (k = 1): no density can be shown to lie in the window."""
    cavity = site.one_bay(layers=(builders.layer(80, builders.framing(spacing_mm=605, plates_mm=0)),))
    basis = site.basis(site.bag(12.5, 0.1), bag_count_half=0.5)
    (found,) = found_of(cavity, site.fill(bags=0.5), basis=basis)
    assert found.achieved.u_kg_m3 == pytest.approx(12.5 * 0.5 / sqrt(3) / 0.10752, rel=2e-3)
    assert found.achieved.budget[0].name == "bag count"
    assert found.achieved.highest_probability < 0.2
    assert found.verdict is Verdict.INCONCLUSIVE


def test_a_bulge_makes_the_fill_less_dense() -> None:
    """15 mm at mid-bay: 5/9 x 0.015 x 0.56 x 2.4 = 0.0112 m3 on 0.4032 m3."""
    (found,) = found_of(ONE_BAY, site.fill(mass_kg=22.5, bulge_mm=15))
    assert found.bulge_volume_m3 == pytest.approx(0.0112)
    assert (found.bulge_mm, found.bulge_measured) == (15, True)
    assert found.achieved.density_kg_m3 == pytest.approx(22.5 / 0.4144)
    assert "bulge" in {line.name for line in found.achieved.budget}


def test_a_bulge_that_nobody_measured_makes_netting_less_certain() -> None:
    (measured,), (expected,) = (
        found_of(site.one_bay(facing=Facing.NETTING), site.fill(mass_kg=24, bulge_mm=bulge_mm))
        for bulge_mm in (20, None)
    )
    assert measured.achieved.density_kg_m3 == pytest.approx(expected.achieved.density_kg_m3)
    assert expected.achieved.u_kg_m3 > 2 * measured.achieved.u_kg_m3
    assert not expected.bulge_measured


def test_separate_bays_are_judged_one_by_one() -> None:
    """Each of ten bays has its own kilograms: one is loose, and only that one."""
    volume_m3 = 0.555 * 2.365 * 0.14
    fills = [site.fill("W2", bay=bay, mass_kg=55 * volume_m3) for bay in range(1, 10)]
    fills[3] = replace(fills[3], mass_kg=40 * volume_m3)
    found = found_of(builders.stud_wall(), *fills)
    assert [each.label for each in found] == [f"W2/{bay}" for bay in range(1, 11)]
    verdicts = [each.verdict for each in found]
    assert verdicts[3] is Verdict.NON_CONFORMING
    assert verdicts[9] is None
    assert {each for place, each in enumerate(verdicts) if place not in (3, 9)} == {Verdict.CONFORMING}
    assert all(each.samples_needed == 0 and each.last_bay is None for each in found)


def test_fills_without_a_bay_balance_the_whole_cavity_and_need_samples() -> None:
    fills = (site.fill("W2", bay=1, mass_kg=10), site.fill("W2", mass_kg=90))
    (found,) = found_of(builders.stud_wall(), *fills)
    assert (found.label, found.mass_kg) == ("W2", 100)
    assert found.achieved.density_kg_m3 == pytest.approx(100 / 1.8227055)
    assert found.samples_needed == 2
    assert "which bay" in found.note


def shared(*fills, samples=(), **cavity):
    (found,) = found_of(builders.wall(**cavity), *fills, samples=samples, density=site.limits(45, 65))
    return found


FILLED = tuple(site.fill(bay=bay, minute=bay, mass_kg=55 * 8.322192 / 15) for bay in range(1, 16))


def test_a_shared_compartment_is_one_balance_with_a_plan_of_samples() -> None:
    found = shared(*FILLED)
    assert found.achieved.density_kg_m3 == pytest.approx(55)
    assert (found.samples_needed, found.sampled) == (3, 0)
    assert (found.last_bay, found.last_bay_sampled) == (15, False)


def test_the_last_bay_goes_by_the_time_and_is_unknown_where_the_last_fill_names_none() -> None:
    taken_out = site.fill(bay=2, minute=30, mass_kg=0.0, removed_kg=1)
    assert shared(*FILLED, taken_out).last_bay == 15
    assert shared(*FILLED, site.fill(minute=30, mass_kg=5)).last_bay is None


def test_mass_balance_and_samples_that_agree_are_combined() -> None:
    """By inverse variance: between both, and more certain than either."""
    samples = tuple(site.core(CORE_55 * 1.02, bay=bay) for bay in (3, 9, 15))
    found = shared(*FILLED, samples=samples)
    balance, by_samples = found.mass_balance, found.by_samples
    weights = balance.u_kg_m3**-2, by_samples.u_kg_m3**-2
    expected = (weights[0] * balance.density_kg_m3 + weights[1] * by_samples.density_kg_m3) / sum(weights)
    assert found.normalised_error < 1
    assert found.achieved.how is FoundBy.COMBINED
    assert found.achieved.density_kg_m3 == pytest.approx(expected)
    assert found.achieved.u_kg_m3 == pytest.approx(sum(weights) ** -0.5)
    assert found.verdict is Verdict.CONFORMING
    assert (found.sampled, found.last_bay_sampled) == (3, True)


def test_mass_balance_and_samples_that_contradict_each_other_are_not() -> None:
    samples = tuple(site.block(9 * 63, bay=bay) for bay in (3, 9, 15))
    found = shared(*FILLED, samples=samples)
    d = found.by_samples.density_kg_m3 - found.mass_balance.density_kg_m3
    expanded = sqrt(found.by_samples.expanded_u_kg_m3**2 + found.mass_balance.expanded_u_kg_m3**2)
    assert found.normalised_error == pytest.approx(d / expanded)
    assert found.normalised_error > 1
    assert found.achieved is None


def test_what_two_contradicting_results_both_refuse_is_refused() -> None:
    fills = tuple(replace(fill, mass_kg=fill.mass_kg * 0.6) for fill in FILLED)
    found = shared(*fills, samples=tuple(site.block(9 * 40, bay=bay) for bay in (3, 9, 15)))
    assert found.normalised_error > 1
    assert found.verdict is Verdict.NON_CONFORMING


def test_a_contradiction_is_inconclusive_where_one_conforms() -> None:
    (found,) = found_of(ONE_BAY, site.fill(mass_kg=22.5), samples=(site.block(9 * 70),))
    assert found.achieved is None
    assert found.verdict is Verdict.INCONCLUSIVE


def test_every_sampled_bay_of_a_shared_compartment_must_conform_by_itself() -> None:
    """A mean of 55 kg/m3 does not help the bay at 40: fill is known bay by bay only by samples."""
    samples = tuple(
        site.core(CORE_55 * factor, bay=bay) for bay, factor in ((3, 0.72), (9, 1.14), (15, 1.14))
    )
    found = shared(*FILLED, samples=samples)
    assert [bay.verdict is Verdict.NON_CONFORMING for bay in found.bay_findings] == [True, False, False]
    assert found.verdict is Verdict.NON_CONFORMING


def test_a_separate_bay_is_judged_by_all_there_is_of_it() -> None:
    """A core that is not sure by itself (5 % of disturbance) only adds to the mass balance."""
    (found,) = found_of(ONE_BAY, site.fill(mass_kg=22.5), samples=(site.core(CORE_55 * 0.95),))
    assert found.bay_findings[0].verdict is Verdict.INCONCLUSIVE
    assert found.achieved.how is FoundBy.COMBINED
    assert found.verdict is Verdict.CONFORMING


def test_a_bay_that_gives_way_does_not_conform() -> None:
    (found,) = found_of(ONE_BAY, site.fill(mass_kg=22.5), samples=(site.core(CORE_55, feel=Feel.GIVES_WAY),))
    assert found.achieved.verdict is Verdict.CONFORMING
    assert found.verdict is Verdict.NON_CONFORMING


def test_a_sample_counts_no_more_once_its_bay_is_filled_again() -> None:
    loose = site.core(CORE_55 * 0.7, bay=3, minute=60)
    again = site.fill(bay=3, minute=70, mass_kg=2)
    better = site.core(CORE_55, bay=3, minute=80)
    found = shared(*FILLED, again, samples=(loose, better))
    assert [sample.superseded for sample in found.samples] == [True, False]
    assert [bay.verdict for bay in found.bay_findings] == [Verdict.CONFORMING]
    assert found.sampled == 1


@pytest.mark.parametrize(("bay", "count"), [(4, 1), (None, 1), (3, 2)])
def test_a_sample_stands_where_another_bay_was_filled_or_none_is_named(bay: int | None, count: int) -> None:
    again = site.fill(bay=bay, minute=70, mass_kg=2)
    found = shared(*FILLED, again, samples=(site.core(CORE_55, bay=3, minute=60),), count=count)
    assert not found.samples[0].superseded


def test_the_only_bay_needs_no_name() -> None:
    samples = (site.core(CORE_55, bay=None, minute=10), site.core(CORE_55, bay=1, minute=30))
    (found,) = found_of(ONE_BAY, site.fill(minute=20, mass_kg=22.5), samples=samples)
    assert [(sample.bay, sample.superseded) for sample in found.samples] == [(1, True), (1, False)]


def test_identical_cavities_are_one_balance_and_each_has_its_samples() -> None:
    """Two walls of 15 bays: twice the volume, twice three samples, of one bay number at most two."""
    fills = tuple(replace(fill, mass_kg=2 * fill.mass_kg) for fill in FILLED)
    samples = tuple(site.core(CORE_55, bay=bay) for bay in (3, 3, 3, 15))
    found = shared(*fills, samples=samples, count=2)
    assert found.net_volume_m3 == pytest.approx(2 * 8.322192)
    assert found.mass_balance.density_kg_m3 == pytest.approx(55)
    assert (found.samples_needed, found.sampled) == (6, 3)


def test_samples_alone_give_the_density_where_no_fill_is_recorded() -> None:
    (found,) = found_of(ONE_BAY, samples=(site.core(CORE_55),))
    assert (found.mass_kg, found.mass_balance, found.normalised_error) == (None, None, None)
    assert found.achieved.how is FoundBy.SAMPLE
    assert found.achieved.density_kg_m3 == pytest.approx(55, abs=0.01)


def test_without_evidence_there_is_no_verdict() -> None:
    (found,) = found_of(ONE_BAY)
    assert (found.achieved, found.verdict) == (None, None)
