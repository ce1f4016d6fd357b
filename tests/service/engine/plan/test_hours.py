import pytest

from service.engine.ground.vocabulary import Method, Standing
from service.engine.plan.hours import cavity_hours, job_hours
from service.engine.survey.rates import MethodRates, Rates

OWN = {"source": "the contractor's own", "standing": Standing.DECLARED}
LANCE = MethodRates(method=Method.LANCE, kg_h=600, hole_mm=60, per_bay_h=0.05, **OWN)
RATES = Rates(
    set_up_h=1.5, hole_h=0.05, patch_h=0.04, move_h=0.25, cleaning_h=1.0, sample_h=0.2, crew=2,
    methods=(LANCE,), **OWN,
)  # fmt: skip


def hours(*, mass_kg=0.0, holes=0, patches=0, bays=0, count=0, method=LANCE):
    return cavity_hours(
        mass_kg=mass_kg, holes=holes, patches=patches, bays=bays, count=count, method=method, rates=RATES
    )


def test_blowing_with_a_lance_takes_two_to_three_minutes_for_25_kg():
    """Common practice: about 25 kg every two to three minutes, 500 to 750 kg an hour."""
    assert 2 <= hours(mass_kg=25) * 60 <= 3
    fastest, slowest = (MethodRates(method=Method.LANCE, kg_h=kg_h, hole_mm=60, **OWN) for kg_h in (750, 500))
    assert hours(mass_kg=25, method=fastest) * 60 == pytest.approx(2)
    assert hours(mass_kg=25, method=slowest) * 60 == pytest.approx(3)


def test_a_small_laboratory_blower():
    """16 CFR 1209.4 (published): the blower averages 272.2 kg/h, which is 600 lb/h."""
    blower = MethodRates(method=Method.HOSE, kg_h=272.2, hole_mm=0, **OWN)
    assert hours(mass_kg=600 * 0.45359237, method=blower) == pytest.approx(1, rel=2e-4)


def test_each_step_of_the_work_adds_its_own_time():
    """By hand: 480/600 + 15 x 0.05 + 14 x 0.04 + 2 x (8 x 0.05 + 0.25) = 0.8 + 0.75 + 0.56 + 1.3."""
    assert hours(mass_kg=480, holes=15, patches=14, bays=8, count=2) == pytest.approx(3.41)


def test_set_up_and_cleaning_come_once_for_a_job():
    """By hand: 1.5 + 3.41 + 2.2 + 3 x 0.2 + 1.0."""
    assert job_hours(cavities_h=[3.41, 2.2], samples=3, rates=RATES) == pytest.approx(8.71)
    assert job_hours(cavities_h=[], samples=0, rates=RATES) == pytest.approx(2.5)
