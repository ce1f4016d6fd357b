"""What an assessment says of holes and of what closes them."""

from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.shapes import Unit
from service.engine.ground.vocabulary import Purpose
from service.engine.site.holes_told import AddedHole


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchFinding:
    """What closes a hole, or all holes of a part; a size or a tape that nobody gave is the plan's."""

    width_mm: Annotated[float | None, Unit("mm"), "breadth; None: as planned"]
    height_mm: Annotated[float | None, Unit("mm"), "height; None: as planned"]
    tape: Annotated[str | None, "what it is made of; None: as planned"]
    wiped: Annotated[bool, "whether the surface was wiped first"]
    pressed_on: Annotated[bool, "whether it was rubbed down"]
    stated: Annotated[bool, "whether it was said of all holes together, not of this one"]
    happened_at: Annotated[str, "when"]
    by: Annotated[str, "who says so"]
    photos: Annotated[tuple[str, ...], "ids of its photos"]

    @property
    def counts(self) -> bool:
        """Whether it was put on as it has to be."""
        return self.wiped and self.pressed_on


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleFinding:
    """A hole that was recorded by itself or with its sample, and the last patch over it."""

    entry: Annotated[str, "id of the entry that says so first"]
    cavity: Annotated[str, "part"]
    number: Annotated[int | None, "number of the plan"]
    tag: Annotated[str | None, "a name of its own"]
    purpose: Annotated[Purpose, "what it is for"]
    bay: Annotated[int | None, "bay it is in"]
    width_mm: Annotated[float | None, Unit("mm"), "breadth"]
    height_mm: Annotated[float | None, Unit("mm"), "height"]
    x_m: Annotated[float | None, Unit("m"), "its middle from the left edge, where measured"]
    height_m: Annotated[float | None, Unit("m"), "its middle from the lower edge, where measured"]
    happened_at: Annotated[str, "when"]
    by: Annotated[str, "who says so"]
    photos: Annotated[tuple[str, ...], "ids of its photos"]
    patch: Annotated[PatchFinding | None, "what closes it; None: open"]

    @property
    def name(self) -> str:
        """What people call it: its number, its tag, or the id of its sample."""
        return str(self.number) if self.number is not None else self.tag or self.entry


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedApart:
    """A planned hole that was said of the whole part, and closed by itself."""

    number: Annotated[int, "number of the plan"]
    patch: Annotated[PatchFinding, "what closes it"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HolesFinding:
    """The holes of one part; numbers are the plan's."""

    cavity: Annotated[str, "part"]
    planned: Annotated[int, "holes that were planned"]
    made: Annotated[int, "entry holes that somebody says were made"]
    stated: Annotated[int, "those of them that are planned and said of the whole part"]
    others: Annotated[int, "holes for samples, inspection and services"]
    closed: Annotated[int, "holes of all of these that somebody says are closed"]
    as_planned: Annotated[bool, "whether they are said to be those of the plan, none added or omitted"]
    stated_by: Annotated[str | None, "who says so of the whole part"]
    stated_at: Annotated[str | None, "when"]
    added: Annotated[tuple[AddedHole, ...], "holes that the plan does not have"]
    omitted: Annotated[tuple[int, ...], "planned holes that were not made"]
    unaccounted: Annotated[tuple[int, ...], "planned holes of which nobody says whether they were made"]
    contradicted: Annotated[tuple[int, ...], "holes said to be omitted and recorded as made"]
    unreached: Annotated[tuple[int, ...], "bays whose planned holes are all omitted, with no other"]
    open: Annotated[tuple[int, ...], "planned holes that were made, and that nobody says are closed"]
    open_added: Annotated[int, "added holes that nobody says are closed"]
    patch: Annotated[PatchFinding | None, "what closes the holes of the part, said of all together"]
    closed_apart: Annotated[tuple[ClosedApart, ...], "planned holes that were closed by themselves"]
    singles: Annotated[tuple[HoleFinding, ...], "holes recorded by themselves or with their samples"]
    strays: Annotated[tuple[str, ...], "patches over holes that nobody recorded"]

    @property
    def is_open(self) -> bool:
        """Whether any hole that was made is not said to be closed."""
        return bool(self.open or self.open_added) or any(each.patch is None for each in self.singles)
