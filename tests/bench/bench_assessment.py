"""An assessment as a building grows: processor time of a cavity, against itself in one run."""

from time import process_time

import pytest

from tests import builders, site


def spent_on(cavities: int) -> float:
    """Processor seconds of assessing so many walls, each bay filled and three of them cored."""
    plans = tuple(site.planned(builders.wall(label=f"C{place}")) for place in range(cavities))
    fills = tuple(
        site.fill(plan.cavity.label, bay=bay, minute=bay, mass_kg=33)
        for plan in plans
        for bay in range(1, 16)
    )
    samples = tuple(site.core(79, plan.cavity.label, bay) for plan in plans for bay in (2, 8, 15))
    begun = process_time()
    found = site.assessed(*plans, entries=(*fills, *samples, *site.stock(12_000, 100)))
    assert len(found.cavities) == cavities
    return process_time() - begun


@pytest.mark.bench
def test_a_cavity_of_three_hundred_takes_no_longer_than_one_of_fifty() -> None:
    """Against itself in one run: what grows faster than the building takes six times as long and more."""
    assert spent_on(300) / 300 < 2.5 * min(spent_on(50), spent_on(50)) / 50
