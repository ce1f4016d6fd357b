"""What a tally says of a part's holes, made and closed, against the plan."""

from dataclasses import dataclass
from typing import Annotated

from service.engine.site.entry import (
    Bay,
    Numbers,
    Position,
    Several,
    Side,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class AddedHole:
    """A hole that the plan does not have; the plan's usual size unless given."""

    bay: Bay
    width_mm: Annotated[Side | None, "breadth"] = None
    height_mm: Annotated[Side | None, "height"] = None
    x_m: Annotated[Position | None, "its middle from the left edge, where measured"] = None
    height_m: Annotated[Position | None, "its middle from the lower edge, where measured"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HolesMade:
    """Holes of a part against its plan; `as_planned` is one that adds and omits nothing."""

    added: Annotated[tuple[AddedHole, ...], Several(0, 500), "holes that the plan does not have"] = ()
    omitted: Annotated[Numbers, "numbers of the plan's holes that were not made"] = ()

    @property
    def as_planned(self) -> bool:
        """Whether the holes are said to be those of the plan."""
        return not (self.added or self.omitted)


@dataclass(frozen=True, slots=True, kw_only=True)
class Patched:
    """What was closed: all holes made so far, but for these numbers of the plan."""

    all_but: Annotated[Numbers, "numbers of the plan's holes that are still open"] = ()
