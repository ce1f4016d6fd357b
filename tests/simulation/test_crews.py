"""Is a careful crew certified at its first try, and a careless one caught? Sites are played.

A careful crew blows to the target, its bays 2.0 kg/m3 off from one another, which is what the
demo firm declares of its own bays (no published figure was found); a careless one leaves a part
a fifth too loose, below the least that conforms. A part is certified where its verdict is
conforming and no condition of its density is unmet; caught, where it really is too loose, if
it is not.
"""

from dataclasses import replace

import pytest

from service.engine.geometry.compartments import parts
from service.engine.geometry.plane import plane
from service.engine.ground.vocabulary import Proof, Verdict
from service.engine.plan.proof import proof_plan
from service.engine.plan.quantities import bulging_m2
from service.engine.site.conditions import open_blow_conditions
from service.engine.site.density_conditions import density_conditions
from tests import builders
from tests.played_jobs import CAREFUL, JOBS, TWO_BAYS, Crew, Outcome, firm, job, part

CARELESS = Crew(off_kg_m3=-12.0, scatter_kg_m3=5.0)
SHORT, LONG = 60, 2000
FIRST_TRY, CAUGHT = 0.9, 0.95
EXCEPTIONS = {
    "two bays with cores": (
        "two shallow bays, each to be shown by a core of its own that knows it to 2.5 kg/m3: nine in ten of "
        "each come to some eight in ten of both; the plan never asks for it, it has them noted together"
    )
}


def certified(job: Outcome) -> bool:
    """Whether nothing stands in the way of the part's density."""
    practice, finding, window = firm(), job.finding, job.planned.density
    conditions = [
        condition
        for space in finding.compartments
        if window
        for condition in density_conditions(
            planned=job.planned, window=window, finding=space, practice=practice
        )
    ]
    if finding.open_blow:
        conditions += open_blow_conditions(
            cavity=finding.label, finding=finding.open_blow, decision=practice.decision
        )
    return finding.verdict is Verdict.CONFORMING and not conditions


def first_try(kind: str, crew: Crew, jobs: int) -> float:
    """How many of a crew's parts are certified at the first try."""
    return sum(certified(JOBS[kind](seed, crew)) for seed in range(jobs)) / jobs


def caught(kind: str, jobs: int) -> float:
    """How many of a careless crew's parts that really are too loose are not certified."""
    played = [JOBS[kind](seed, CARELESS) for seed in range(jobs)]
    loose = [each for each in played if each.true < least(each)]
    return sum(not certified(each) for each in loose) / len(loose)


def least(job: Outcome) -> float:
    """The least that conforms, in kg/m3 or of an open blow in kg/m2."""
    planned = job.planned
    if planned.density:
        return planned.density.lowest_kg_m3.value
    assert planned.open_blow
    return planned.open_blow.mass_per_area_kg_m2


@pytest.mark.parametrize("kind", JOBS)
def test_a_careful_crew_is_certified_at_its_first_try(kind: str) -> None:
    """The short form: of 60 jobs the share is known to 8 in 100 (k = 2)."""
    assert kind in EXCEPTIONS or first_try(kind, CAREFUL, SHORT) >= FIRST_TRY - 0.06


@pytest.mark.parametrize("kind", JOBS)
def test_a_careless_one_is_caught(kind: str) -> None:
    assert caught(kind, SHORT // 2) >= CAUGHT - 0.05


@pytest.mark.slow
@pytest.mark.parametrize("kind", JOBS)
def test_nine_in_ten_at_the_first_try_and_nineteen_in_twenty_caught(kind: str) -> None:
    first, found = first_try(kind, CAREFUL, LONG), caught(kind, LONG)
    assert kind in EXCEPTIONS or first >= FIRST_TRY, first
    assert found >= CAUGHT, found


@pytest.mark.slow
def test_bays_that_differ_too_much_are_found_by_their_samples_one_time_in_two() -> None:
    """Bays that scatter by 8 kg/m3 about the target: the mean conforms and one bay in five does not."""
    uneven = replace(CAREFUL, scatter_kg_m3=8.0)
    assert first_try("sixteen closed bays noted together", uneven, LONG) <= 1 / 2


def test_the_plan_does_not_send_a_crew_to_do_what_is_an_exception() -> None:
    """It has two such bays noted together and sampled, by which they are certified as others are."""
    planned = part(job(0), TWO_BAYS).planned
    assert planned.density
    found = proof_plan(
        laid_out=plane(cavity=TWO_BAYS),
        compartments=planned.compartments,
        facing_m2=bulging_m2(cavity=TWO_BAYS, parts=parts(cavity=TWO_BAYS), practice=firm()),
        window=planned.density,
        material=builders.material(),
        practice=firm(),
    )
    assert (found.chosen, found.suffices) == (Proof.NOTED_TOGETHER_AND_SAMPLED, True)


def test_an_exception_has_its_cause() -> None:
    assert set(EXCEPTIONS) <= set(JOBS)
    assert all(EXCEPTIONS.values())
