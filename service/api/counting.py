"""How often something was asked for within a minute: counted in this process, or by several in Redis.

A sliding window of two counters: the minute that is running, and of the one before it the share that
is less than a minute old, as if it had been spread evenly.
"""

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from math import floor
from threading import Lock
from typing import Protocol, TypeVar

from limits import RateLimitItemPerMinute
from limits.storage import storage_from_string
from limits.strategies import SlidingWindowCounterRateLimiter

T = TypeVar("T")

WINDOW_S = 60
AWAY_S = 5
"""So long is Redis left alone that did not answer."""
ANSWERS_S = 1

log = logging.getLogger("baywright")


class Counts(Protocol):
    """Who has asked how often."""

    def hit(self, name: str, most: int) -> bool:
        """Count one more, if there may be `most`; whether it may."""

    def left(self, name: str, most: int) -> int:
        """How many more there may be."""

    def wait_s(self, name: str, most: int) -> float:
        """In how many seconds there may be one more."""


@dataclass(slots=True)
class _Two:
    """The running minute and how often it was asked in it, and in the one before."""

    minute: int
    now: int = 0
    before: int = 0

    def go_on_to(self, minute: int) -> None:
        self.before = self.now if minute == self.minute + 1 else 0
        self.minute, self.now = minute, 0


@dataclass(slots=True)
class InMemory:
    """The counts of this process."""

    clock: Callable[[], float] = time.time
    _of: dict[str, _Two] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)
    _swept: int = 0

    def hit(self, name: str, most: int) -> bool:
        """Count one more, if there may be `most`; whether it may."""
        with self._lock:
            two, weighed = self._weighed(name)
            if floor(weighed) >= most:
                return False
            two.now += 1
            return True

    def left(self, name: str, most: int) -> int:
        """How many more there may be."""
        with self._lock:
            return max(0, most - floor(self._weighed(name)[1]))

    def wait_s(self, name: str, most: int) -> float:
        """In how many seconds there may be one more: when enough of the minute before has aged."""
        with self._lock:
            two, _ = self._weighed(name)
            gone_s = self.clock() % WINDOW_S
            if two.now >= most:
                return WINDOW_S - gone_s
            return max(0.0, WINDOW_S * (1 - (most - two.now) / max(1, two.before)) - gone_s)

    def _weighed(self, name: str) -> tuple[_Two, float]:
        now = self.clock()
        minute = int(now // WINDOW_S)
        if minute != self._swept:
            # Who has not asked for a minute is forgotten.
            self._of = {each: two for each, two in self._of.items() if two.minute >= minute - 1}
            self._swept = minute
        two = self._of.get(name)
        if two is None:
            two = self._of[name] = _Two(minute)
        elif two.minute != minute:
            two.go_on_to(minute)
        return two, two.now + two.before * (1 - now % WINDOW_S / WINDOW_S)


class InRedis:
    """The counts of several servers; without Redis the service goes on, and counts for itself."""

    def __init__(self, uri: str) -> None:
        options: dict[str, float | str | bool] = {
            "socket_timeout": ANSWERS_S,
            "socket_connect_timeout": ANSWERS_S,
        }
        self._window = SlidingWindowCounterRateLimiter(storage_from_string(uri, **options))
        self._alone = InMemory()
        self._away_until = 0.0

    def hit(self, name: str, most: int) -> bool:
        """Count one more, if there may be `most`; whether it may."""
        item = RateLimitItemPerMinute(most)
        return self._asked(lambda: self._window.hit(item, name), lambda: self._alone.hit(name, most))

    def left(self, name: str, most: int) -> int:
        """How many more there may be."""
        item = RateLimitItemPerMinute(most)
        return self._asked(
            lambda: self._window.get_window_stats(item, name).remaining, lambda: self._alone.left(name, most)
        )

    def wait_s(self, name: str, most: int) -> float:
        """In how many seconds there may be one more."""
        item = RateLimitItemPerMinute(most)
        return self._asked(
            lambda: self._window.get_window_stats(item, name).reset_time - time.time(),
            lambda: self._alone.wait_s(name, most),
        )

    def _asked(self, together: Callable[[], T], alone: Callable[[], T]) -> T:
        if time.monotonic() < self._away_until:
            return alone()
        try:
            return together()
        except Exception:
            # Whatever is wrong with the counting must keep nobody from working.
            log.warning("requests are counted by this process alone", exc_info=True)
            self._away_until = time.monotonic() + AWAY_S
            return alone()


def counts(uri: str) -> Counts:
    """Where requests are counted: `memory://`, or Redis at `redis://HOST`."""
    return InMemory() if uri.startswith("memory:") else InRedis(uri)
