"""What was built of each build-up, in one line: for buildings whose parts do not fit on a first page."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from service.documents.papers.build_ups import BuildUp

LARGE = 40
"""More parts than this, each in a line of its own, are longer than a page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A build-up: how many `parts`, the mass in kg and the bags in all of them, where they are known.

    `density` is the least and the greatest that was found, in kg/m3; `verdicts` counts the parts of each.
    """

    group: BuildUp
    parts: int
    mass_kg: float | None
    bags: float | None
    density: tuple[float, float] | None
    verdicts: Counter[str | None]


def in_short(groups: Sequence[BuildUp]) -> list[Line] | None:
    """A line for each build-up of a large building; none where each part has a line on the first page."""
    if sum(len(group.parts) for group in groups) <= LARGE:
        return None
    return [
        Line(
            group=group,
            parts=len(group.parts),
            mass_kg=_sum([part["found"]["mass_kg"] for part in group.parts]),
            bags=_sum([part["bags"] for part in group.parts]),
            density=_span([part["density"] for part in group.parts]),
            verdicts=Counter(part["found"]["verdict"] for part in group.parts),
        )
        for group in groups
    ]


def _sum(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if len(known) == len(values) else None


def _span(found: Sequence[Any]) -> tuple[float, float] | None:
    known = [each for each in found if each]
    if len(known) < len(found):
        return None
    return min(each[0] for each in known), max(each[1] for each in known)
