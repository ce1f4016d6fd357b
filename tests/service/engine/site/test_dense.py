from dataclasses import replace
from math import sqrt

import pytest

from service.engine.ground.vocabulary import Feel, FoundBy, Proof, Verdict
from service.engine.survey.uncertainties import SizeErrors
from tests import builders, site
from tests.evidence import WORKED, practice, shown, shown_of

ONE_BAY = site.one_bay()
CORE_55 = 72.9  # grams of a 75 x 300 mm core at 55.0 kg/m3
ROUGH = SizeErrors(depth_mm=5.0, width_mm=10.0, span_mm=10.0, member_mm=2.0, opening_mm=10.0)
FIRM = practice(ROUGH)


def spaces(cavity, *entries, density=None, profile=WORKED):
    return shown(cavity, *entries, density=density or site.limits(50, 60), profile=profile).compartments


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
    fill = site.fill(mass_kg=22.5, run_empty=True)
    (found,) = spaces(ONE_BAY, fill, density=site.limits(lowest, 100))
    balance = found.mass_balance
    assert balance.density_kg_m3 == pytest.approx(55.803571, abs=5e-7)
    assert balance.u_kg_m3 == pytest.approx(0.3730511, abs=5e-8)
    assert balance.expanded_u_kg_m3 == pytest.approx(0.746, abs=5e-4)
    assert balance.probability == pytest.approx(p, abs=5e-6)
    assert found.achieved == balance
    assert (found.verdict, found.proof) == (verdict, Proof.RUN_EMPTY_OR_WEIGHED)


def test_half_bags_say_nothing_of_a_single_closed_bay() -> None:
    """14 kg bags in the middle of a job: 2 u = 42 kg/m3 in 0.27 m3."""
    layers = (builders.layer(201, builders.framing(spacing_mm=605, plates_mm=0)),)
    bay = site.planned(site.one_bay(layers=layers), site.limits(50, 70))
    other = site.planned(builders.wall(label="W9"))
    entries = (
        site.fill("W9", bags=9, minute=0),
        site.fill(bags=1.157, minute=60),
        site.fill("W9", bags=9, minute=300),
    )
    sheet = replace(builders.material(), bag_kg=14.0)
    found = shown_of((bay, other), *entries, profile=practice(), sheet=sheet)[0].compartments[0]
    assert found.net_volume_m3 == pytest.approx(0.27, abs=5e-4)
    assert found.achieved.expanded_u_kg_m3 == pytest.approx(42, abs=0.5)
    assert found.achieved.budget[0].name.code == "budget.left_in_the_machine"
    assert (found.verdict, found.proof) == (Verdict.INCONCLUSIVE, Proof.BAGS)


def test_a_bulge_makes_the_fill_less_dense() -> None:
    """15 mm at mid-bay: 5/9 x 0.015 x 0.56 x 2.4 = 0.0112 m3 on 0.4032 m3."""
    (found,) = spaces(ONE_BAY, site.fill(mass_kg=22.5, bulge_mm=15, run_empty=True))
    assert found.bulge_volume_m3 == pytest.approx(0.0112)
    assert (found.bulge_mm, found.bulge_measured) == (15, True)
    assert found.achieved.density_kg_m3 == pytest.approx(22.5 / 0.4144)
    assert {"budget.bulge", "budget.bulge_factor"} < {line.name.code for line in found.achieved.budget}


def test_separate_bays_are_judged_one_by_one() -> None:
    """Each of ten bays has its own kilograms: one is loose, and only that one."""
    volume_m3 = 0.555 * 2.365 * 0.14
    fills = [
        site.fill("W2", bay=bay, minute=10 * bay, mass_kg=55 * volume_m3, run_empty=True)
        for bay in range(1, 10)
    ]
    fills[3] = replace(fills[3], mass_kg=40 * volume_m3)
    found = spaces(builders.stud_wall(), *fills)
    assert [each.label for each in found] == [f"W2/{bay}" for bay in range(1, 11)]
    verdicts = [each.verdict for each in found]
    assert verdicts[3] is Verdict.NON_CONFORMING
    assert verdicts[9] is None
    assert {each for place, each in enumerate(verdicts) if place not in (3, 9)} == {Verdict.CONFORMING}
    assert all(each.samples_needed == 0 and each.last_bay is None for each in found)


def test_bays_noted_together_have_a_mean_and_nothing_is_said_of_one() -> None:
    """A tally of closed bays: one balance, sampled as a shared compartment is."""
    (found,) = spaces(builders.stud_wall(), site.tally("W2", mass_kg=100, run_empty=True, last_bay=10))
    assert (found.label, found.bays, found.mass_kg) == ("W2", tuple(range(1, 11)), 100)
    assert found.achieved.density_kg_m3 == pytest.approx(100 / 1.8227055)
    assert (found.samples_needed, found.last_bay) == (2, 10)
    assert found.note.code == "site.bays_noted_together"
    assert found.proof is None


@pytest.mark.parametrize(
    ("run_empty", "proof"),
    [
        (False, Proof.NOTED_TOGETHER_AND_SAMPLED),
        (True, Proof.NOTED_TOGETHER_RUN_EMPTY_AND_SAMPLED),
    ],
)
def test_and_are_proven_by_that_and_their_samples(proof: Proof, *, run_empty: bool) -> None:
    cores = tuple(site.core(34.0, "W2", bay, length_mm=140) for bay in (5, 10))
    tally = site.tally("W2", mass_kg=100, run_empty=run_empty, last_bay=10)
    (found,) = spaces(builders.stud_wall(), tally, *cores, profile=FIRM)
    assert found.proof is proof


def shared(*entries, density=None, profile=FIRM, **cavity):
    density = density or site.limits(45, 65)
    (found,) = spaces(builders.wall(**cavity), *entries, density=density, profile=profile)
    return found


FILLED = tuple(
    site.fill(bay=bay, minute=10 * bay, mass_kg=55 * 8.322192 / 15, run_empty=True) for bay in range(1, 16)
)
LATER = 200.0


def cores(*factors: float, bays=(3, 9, 15), **fields):
    return tuple(
        site.core(CORE_55 * factor, bay=bay, minute=LATER, **fields)
        for factor, bay in zip(factors, bays, strict=False)
    )


def test_a_shared_compartment_is_one_balance_with_a_plan_of_samples() -> None:
    found = shared(*FILLED)
    assert found.achieved.density_kg_m3 == pytest.approx(55)
    assert (found.samples_needed, found.sampled) == (3, 0)
    assert (found.last_bay, found.last_bay_sampled) == (15, False)


def test_the_last_bay_goes_by_the_time_and_is_unknown_where_the_last_fill_names_none() -> None:
    taken_out = site.fill(bay=2, minute=LATER, mass_kg=0.0, removed_kg=1)
    assert shared(*FILLED, taken_out).last_bay == 15
    assert shared(*FILLED, site.fill(minute=LATER, mass_kg=5)).last_bay is None
    assert shared(*FILLED, site.tally(minute=LATER, mass_kg=5, last_bay=4)).last_bay == 4


def test_mass_balance_and_samples_that_agree_are_combined() -> None:
    """By inverse variance: between both, and more certain than either."""
    found = shared(*FILLED, *cores(1.02, 1.02, 1.02))
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
    samples = tuple(site.block(9 * 64.9, bay=bay, minute=LATER) for bay in (3, 9, 15))
    profile = practice(ROUGH, between_bays_u_kg_m3=1.0)
    found = shared(*FILLED, *samples, profile=profile, density=site.limits(45, 75))
    d = found.by_samples.density_kg_m3 - found.mass_balance.density_kg_m3
    expanded = sqrt(found.by_samples.expanded_u_kg_m3**2 + found.mass_balance.expanded_u_kg_m3**2)
    assert found.normalised_error == pytest.approx(d / expanded)
    assert found.normalised_error > 1
    assert found.achieved is None
    assert found.verdict is Verdict.CONFORMING  # both conform: that they contradict is a condition


def test_a_firm_that_does_not_work_by_the_normalised_error_goes_by_the_worse_of_both() -> None:
    """The rule is from memory: it shows, and does not block."""
    samples = tuple(site.block(9 * 64.9, bay=bay, minute=LATER) for bay in (3, 9, 15))
    profile = practice(ROUGH, decision={"contradiction_decides": False}, between_bays_u_kg_m3=1.0)
    found = shared(*FILLED, *samples, profile=profile, density=site.limits(45, 66))
    assert found.normalised_error > 1
    assert found.achieved == found.by_samples
    assert found.verdict is Verdict.INCONCLUSIVE


def test_what_two_contradicting_results_both_refuse_is_refused() -> None:
    fills = tuple(replace(fill, mass_kg=fill.mass_kg * 0.6) for fill in FILLED)
    samples = tuple(site.block(9 * 40, bay=bay, minute=LATER) for bay in (3, 9, 15))
    profile = practice(ROUGH, between_bays_u_kg_m3=1.0)
    assert shared(*fills, *samples, profile=profile).verdict is Verdict.NON_CONFORMING


def test_a_sample_outside_the_window_refuses_the_compartment_whatever_its_mean() -> None:
    found = shared(*FILLED, *cores(0.8, 1.1, 1.1))
    assert [bay.verdict is Verdict.NON_CONFORMING for bay in found.bay_findings] == [True, False, False]
    assert found.achieved.verdict is Verdict.CONFORMING
    assert found.verdict is Verdict.NON_CONFORMING


def test_a_value_near_a_limit_is_in_the_window_all_the_same() -> None:
    """The shared risk: asking each sample to conform at 0.95 would fail seven even walls of ten."""
    found = shared(*FILLED, *cores(0.86, 1.0, 1.0), density=site.limits(47, 65))
    assert found.samples[0].probability < 0.95
    assert found.verdict is Verdict.CONFORMING


def test_the_scatter_is_that_of_all_like_compartments_of_the_job() -> None:
    """Two walls of three cores each: four degrees of freedom, pooled; one alone has two and takes 3 kg/m3."""
    walls = [site.planned(builders.wall(label=label), site.limits(45, 65)) for label in ("W1", "W2")]
    entries = [
        site.core(CORE_55 * factor, label, bay, minute=LATER, length_mm=300)
        for label in ("W1", "W2")
        for bay, factor in ((3, 0.98), (9, 1.0), (15, 1.02))
    ]
    one = shown_of((walls[0],), *entries[:3], profile=FIRM)[0].compartments[0].by_samples
    both = shown_of(tuple(walls), *entries, profile=FIRM)[0].compartments[0].by_samples

    def between(found):
        return next(line.u_kg_m3 for line in found.budget if line.name.code == "budget.between_bays")

    assert between(one) == pytest.approx(3 * sqrt((1 - 3 / 15) / 3))
    s = 55.0 * 0.02  # of 0.98, 1 and 1.02
    assert between(both) == pytest.approx(2.869315 / 2 * s * sqrt((1 - 3 / 15) / 3), rel=1e-3)


def test_a_separate_bay_is_judged_by_all_there_is_of_it() -> None:
    """A core that is not sure by itself only adds to the mass balance."""
    fill = site.fill(mass_kg=22.5, run_empty=True)
    (found,) = spaces(ONE_BAY, fill, *cores(0.97, bays=(1,)))
    assert found.achieved.how is FoundBy.COMBINED
    assert (found.verdict, found.proof) == (Verdict.CONFORMING, Proof.CORE_IN_EACH_BAY)


def test_a_bay_that_gives_way_does_not_conform() -> None:
    fill = site.fill(mass_kg=22.5, run_empty=True)
    (found,) = spaces(ONE_BAY, fill, *cores(1.0, bays=(1,), feel=Feel.GIVES_WAY))
    assert found.achieved.verdict is Verdict.CONFORMING
    assert found.verdict is Verdict.NON_CONFORMING


@pytest.mark.parametrize("again", [{"mass_kg": 2}, {"mass_kg": 0.0, "removed_kg": 2.0}])
def test_a_sample_counts_no_more_once_its_bay_is_filled_or_emptied_again(again) -> None:
    loose = site.core(CORE_55 * 0.7, bay=3, minute=LATER)
    packed = site.fill(bay=3, minute=LATER + 10, **again)
    better = site.core(CORE_55, bay=3, minute=LATER + 20)
    found = shared(*FILLED, packed, loose, better)
    assert [sample.superseded for sample in found.samples] == [True, False]
    assert [bay.verdict for bay in found.bay_findings] == [Verdict.CONFORMING]
    assert found.sampled == 1


@pytest.mark.parametrize("bay", [4, None])
def test_a_sample_stands_where_another_bay_was_filled_or_none_is_named(bay: int | None) -> None:
    again = site.fill(bay=bay, minute=LATER + 10, mass_kg=2)
    found = shared(*FILLED, again, *cores(1.0, bays=(3,)))
    assert not found.samples[0].superseded


def test_order_is_that_of_what_happened() -> None:
    """A sample at 11:00 of a fill that was typed at 17:00 and made at 10:00."""
    typed_late = tuple(replace(fill, position=99) for fill in FILLED)
    found = shared(*cores(1.0, 1.0, 1.0), *typed_late)
    assert not any(sample.superseded for sample in found.samples)
    assert found.sampled == 3


def test_the_only_bay_needs_no_name() -> None:
    early, late = site.core(CORE_55, bay=None, minute=10), site.core(CORE_55, bay=1, minute=30)
    (found,) = spaces(ONE_BAY, site.fill(minute=20, mass_kg=22.5, run_empty=True), early, late)
    assert [(sample.bay, sample.superseded) for sample in found.samples] == [(1, True), (1, False)]


def test_a_sample_of_a_single_bay_is_of_what_its_tally_counts() -> None:
    """Filled, cored, and then told to be done: as of a part with several bays, the core stands."""
    (found,) = spaces(ONE_BAY, *cores(1.0, bays=(1,)), site.tally(minute=900, mass_kg=22.5, run_empty=True))
    assert [sample.superseded for sample in found.samples] == [False]
    assert found.achieved.how is FoundBy.COMBINED


def test_samples_alone_give_the_density_where_no_fill_is_recorded() -> None:
    (found,) = spaces(ONE_BAY, *cores(1.0, bays=(1,)))
    assert (found.mass_kg, found.mass_balance, found.normalised_error) == (None, None, None)
    assert found.achieved.how is FoundBy.SAMPLE
    assert found.achieved.density_kg_m3 == pytest.approx(55, abs=0.01)


def test_without_evidence_there_is_no_verdict_and_no_density() -> None:
    (found,) = spaces(ONE_BAY)
    assert (found.achieved, found.verdict, found.proof) == (None, None, None)
    assert shown(ONE_BAY).installed is None


def test_a_fill_of_nothing_is_none() -> None:
    (found,) = spaces(ONE_BAY, site.fill(mass_kg=0.0))
    assert (found.mass_kg, found.achieved) == (None, None)


def test_what_was_all_taken_out_again_is_no_density_in_the_window() -> None:
    fill = site.fill(mass_kg=22.5, removed_kg=22.5, run_empty=True)
    (found,) = spaces(ONE_BAY, fill, profile=practice())
    assert found.achieved.density_kg_m3 == 0
    assert found.achieved.budget == ()
    assert found.verdict is Verdict.NON_CONFORMING
