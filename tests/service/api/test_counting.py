"""Counting within a sliding minute, in this process; Redis is tried in test_limits, by real servers."""

import pytest

from service.api import counting
from service.api.counting import InMemory, InRedis


class Clock:
    """A clock that stands until it is set."""

    def __init__(self) -> None:
        self.at = 600.0

    def __call__(self) -> float:
        return self.at


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def counts(clock: Clock) -> InMemory:
    return InMemory(clock=clock)


def test_so_many_and_no_more_and_each_name_for_itself(counts: InMemory) -> None:
    assert [counts.hit("a", 3) for _ in range(5)] == [True, True, True, False, False]
    assert (counts.left("a", 3), counts.left("b", 3)) == (0, 3)
    assert counts.hit("b", 3)


def test_the_minute_before_counts_by_its_share(counts: InMemory, clock: Clock) -> None:
    clock.at = 659
    assert all(counts.hit("a", 4) for _ in range(4))
    clock.at = 661
    assert not counts.hit("a", 1)
    # Half of the four is less than a minute old.
    clock.at = 690
    assert counts.left("a", 4) == 2
    clock.at = 720
    assert counts.left("a", 4) == 4


@pytest.mark.parametrize("asked_at", [600, 630, 659])
def test_after_the_wait_there_may_be_one_more(counts: InMemory, clock: Clock, asked_at: float) -> None:
    clock.at = asked_at
    while counts.hit("a", 5):
        pass
    waits = 0
    while not counts.left("a", 5):
        wait_s = counts.wait_s("a", 5)
        assert 0 <= wait_s <= counting.WINDOW_S
        clock.at += wait_s + 0.001
        waits += 1
    # At the end of the minute, and again when a fifth of it has aged.
    assert waits <= 2


def test_who_has_not_asked_for_a_minute_is_forgotten(counts: InMemory, clock: Clock) -> None:
    for name in range(1000):
        counts.hit(str(name), 1)
    clock.at += 3 * counting.WINDOW_S
    counts.hit("a", 1)
    assert len(counts._of) == 1


def test_where_to_count() -> None:
    assert isinstance(counting.counts("memory://"), InMemory)
    assert isinstance(counting.counts("redis://127.0.0.1:9"), InRedis)
