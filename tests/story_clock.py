"""A story's own clock: the service and the phones go by it, and it goes on only where the story does."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import Any, ClassVar

from playwright.sync_api import expect

from tests.phones import Phone

BEGINS = datetime(2026, 11, 25, 8, tzinfo=UTC)
"""The first morning, of a day on which the demo firm's prices hold."""


class Clock(datetime):
    """The clock of the story, which the service and the phones go by; it goes on where the story does."""

    at = BEGINS
    phones: ClassVar[list[Phone]] = []

    @classmethod
    def now(cls, tz: Any = None) -> datetime:  # type: ignore[override]
        """The story's moment."""
        return cls.at

    @classmethod
    def pass_(cls, time: timedelta) -> None:
        """Time passes for all; for the service first, so that no phone is ahead of it."""
        cls.at += time
        for each in cls.phones:
            each.context.clock.fast_forward(int(time.total_seconds() * 1000))


class StoryPhone(Phone):
    """A phone that goes by the story's clock."""

    def set_clock(self) -> None:
        """The clock stands still, but for what the story says."""
        self.context.clock.install(time=Clock.at - timedelta(seconds=1))
        self.context.clock.pause_at(Clock.at)
        Clock.phones.append(self)

    def pass_time(self) -> None:
        """Let the time pass in which an act can be undone, in whole seconds as entries have them."""
        Clock.pass_(timedelta(seconds=7))

    def save(self, value: str = "") -> None:
        """Touch the form's button; nothing goes on before the page says that it is recorded."""
        with self.recorded():
            super().save(value)

    @contextmanager
    def recorded(self) -> Iterator[None]:
        """What is touched in this block is recorded by the page, which says so."""
        self.page.evaluate("document.getElementById('notice').className = ''")
        yield
        expect(self.page.locator("#notice.shown")).to_be_visible()
