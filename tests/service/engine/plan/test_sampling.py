import pytest

from service.engine.ground.vocabulary import Standing
from service.engine.plan.sampling import sampled_bays, samples_needed
from service.engine.survey.practice import Sampling


@pytest.mark.parametrize(("bays", "needed"), [(1, 1), (2, 2), (10, 2), (11, 3), (15, 3), (16, 4), (100, 20)])
def test_one_bay_in_five_and_at_least_two_are_sampled(bays: int, needed: int) -> None:
    """The practice profile's plan; common practice."""
    sampling = Sampling(
        one_in_bays=5, at_least=2, last_bay=True, source="test", standing=Standing.COMMON_PRACTICE
    )
    assert samples_needed(bays=bays, sampling=sampling) == needed


def test_bays_are_sampled_evenly_and_the_last_of_each_group_among_them() -> None:
    sampling = Sampling(
        one_in_bays=5, at_least=2, last_bay=True, source="test", standing=Standing.COMMON_PRACTICE
    )
    assert sampled_bays(groups=(tuple(range(1, 16)), (16, 17)), sampling=sampling) == (5, 10, 15, 16, 17)
