"""What was recorded on the site, entry by entry, as plain data.

Corrections are already resolved: an entry that was corrected is not in the
ledger, the one that takes its place is. Entries may come late and in any order
from several phones; where order matters it is that of `recorded_at`.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeVar

from service.engine.ground.vocabulary import Answer, Feel, Method, Purpose, Shape, Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What every entry carries: its id, when (RFC 3339, UTC) and by whom it was recorded."""

    entry: str
    recorded_at: str
    recorded_by: str

    @property
    def at(self) -> datetime:
        """The instant of recording."""
        return datetime.fromisoformat(self.recorded_at)


@dataclass(frozen=True, slots=True, kw_only=True)
class FillRecord(Entry):
    """Material blown into a cavity: weighed (`mass_kg`) or counted (`bags`), one of the two.

    `bay` counts from 1 at the left. `removed_kg` was taken out again.
    `bulge_mm` is the facing's bulge at mid-bay, measured after this fill.
    """

    cavity: str
    method: Method
    bay: int | None = None
    mass_kg: float | None = None
    bags: float | None = None
    removed_kg: float = 0.0
    bulge_mm: float | None = None
    settings: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BagCheck(Entry):
    """Bags weighed one by one, net, in kilograms."""

    masses_kg: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample(Entry):
    """Material taken from a known volume and weighed.

    `core`: `diameter_mm`, `length_mm`. `block`: `length_mm`, `width_mm`,
    `depth_mm`. `box`: `volume_l`. `feel` is what a hand pressed on the fill found.
    """

    cavity: str
    shape: Shape
    mass_g: float
    bay: int | None = None
    diameter_mm: float | None = None
    length_mm: float | None = None
    width_mm: float | None = None
    depth_mm: float | None = None
    volume_l: float | None = None
    feel: Feel | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Penetration(Entry):
    """A hole or cut in the facing, with a `tag` of its own in the job."""

    tag: str
    cavity: str
    purpose: Purpose
    width_mm: float
    height_mm: float
    bay: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch(Entry):
    """The patch over the penetration of the same `tag`."""

    tag: str
    width_mm: float
    height_mm: float
    tape: str
    wiped: bool
    rubbed_down: bool
    photo_sha256: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPointAnswer(Entry):
    """The answer to a hold point, for one cavity where the hold point is asked of each."""

    code: str
    answer: Answer
    cavity: str | None = None
    reading: str | None = None
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock(Entry):
    """Bags that came and spill that was bagged since the last such entry, and bags left over now."""

    delivered_bags: float
    left_over_bags: float
    reclaimed_kg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthCheck(Entry):
    """Open blow: thicknesses measured as blown, and the markers counted in the cavity."""

    cavity: str
    depths_mm: tuple[float, ...]
    markers: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AirTest(Entry):
    """An air-tightness test (subjects of ISO 9972), before or after filling, and who made it."""

    before_or_after: Stage
    by: str
    n50_per_h: float | None = None
    q50_m3_h_m2: float | None = None


E = TypeVar("E", bound=Entry)


def in_order(entries: Iterable[E]) -> tuple[E, ...]:
    """The entries by the instant of recording, those of one instant by their id."""
    return tuple(sorted(entries, key=lambda each: (each.at, each.entry)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """All entries of a job, by kind."""

    fills: tuple[FillRecord, ...] = ()
    bag_checks: tuple[BagCheck, ...] = ()
    samples: tuple[Sample, ...] = ()
    penetrations: tuple[Penetration, ...] = ()
    patches: tuple[Patch, ...] = ()
    answers: tuple[HoldPointAnswer, ...] = ()
    stocks: tuple[Stock, ...] = ()
    depth_checks: tuple[DepthCheck, ...] = ()
    air_tests: tuple[AirTest, ...] = ()

    def in_order(self) -> "Ledger":
        """The same ledger with each kind in order of recording."""
        return replace(
            self,
            fills=in_order(self.fills),
            bag_checks=in_order(self.bag_checks),
            samples=in_order(self.samples),
            penetrations=in_order(self.penetrations),
            patches=in_order(self.patches),
            answers=in_order(self.answers),
            stocks=in_order(self.stocks),
            depth_checks=in_order(self.depth_checks),
            air_tests=in_order(self.air_tests),
        )
