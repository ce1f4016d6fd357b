"""What every entry of a site carries, and the words that its fields are declared in."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated

from service.engine.ground.rfc3339 import moment_text
from service.engine.ground.shapes import Range, Unit


@dataclass(frozen=True, slots=True)
class Letters:
    """How long a text may be, and whether on several lines."""

    most: int
    lines: bool = False


@dataclass(frozen=True, slots=True)
class Several:
    """How many members a list has."""

    least: int
    most: int


@dataclass(frozen=True, slots=True)
class Identity:
    """A text that is a UUID."""


@dataclass(frozen=True, slots=True)
class Moment:
    """A text that is a moment in RFC 3339, with its offset."""


Id = Annotated[str, Identity()]


Label = Annotated[str, Letters(80)]


Prose = Annotated[str, Letters(1000, lines=True)]


Bay = Annotated[int, Range(1, 10_000), "number of a bay, from the left"]


Bags = Annotated[float, Range(0.01, 100_000), "bags"]


Counted = Annotated[float, Range(0, 100_000), "bags; 0 is an answer"]


Mass = Annotated[float, Unit("kg"), Range(0, 1_000_000)]


Side = Annotated[float, Unit("mm"), Range(1, 5000)]


Position = Annotated[float, Unit("m"), Range(0, 500)]


Numbers = Annotated[tuple[Annotated[int, Range(1, 100_000)], ...], Several(0, 2000)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What every entry carries; `received_at` and `position` are the server's."""

    id: Annotated[Id, "made by who records it, a UUID; unique in its job"]
    happened_at: Annotated[str, Moment(), "when it was done"]
    by: Annotated[Label, "who says so"]
    remark: Annotated[Prose | None, "anything worth keeping"] = None
    photos: Annotated[tuple[Id, ...], Several(0, 50), "ids of photos, come or to come"] = ()
    machine: Annotated[Label | None, "the blowing machine, where there are several"] = None
    clock_offset_s: Annotated[
        float | None, Unit("s"), Range(-1e9, 1e9), "what the phone's clock was put right by"
    ] = None
    received_at: Annotated[str | None, Moment(), "when the server had it"] = None
    position: Annotated[int, "its place in the order of receipt"] = 0

    @property
    def at(self) -> datetime:
        """When it happened, for putting entries in order: never later than it was received."""
        happened = datetime.fromisoformat(self.happened_at)
        return min(happened, datetime.fromisoformat(self.received_at)) if self.received_at else happened

    @property
    def day(self) -> date:
        """The day it happened, by the clock of the site."""
        return self.at.astimezone(datetime.fromisoformat(self.happened_at).tzinfo).date()

    @property
    def told_at(self) -> str:
        """When it happened, as papers tell it: when it was received, where its clock is doubtful."""
        if not self.clock_doubtful:
            return self.happened_at
        return moment_text(self.at.astimezone(datetime.fromisoformat(self.happened_at).tzinfo))

    @property
    def clock_doubtful(self) -> bool:
        """Whether it says that it happened after it was received."""
        return self.at < datetime.fromisoformat(self.happened_at)


@dataclass(frozen=True, slots=True, kw_only=True)
class OfCavity(Entry):
    """An entry about one part."""

    cavity: Annotated[Label, "label of the part"]
