"""Entries that cannot belong to a job, found before they are stored.

A patch whose penetration is not known is no fault: it may come first, from
another phone. If the penetration never comes, it is a condition.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from service.engine.ground.vocabulary import Method
from service.engine.plan.hold_points import HoldPoint
from service.engine.site.ledger import DepthCheck, FillRecord, HoldPointAnswer, Ledger, Penetration, Sample
from service.engine.site.planned import Planned
from service.errors import Fault

Placed = FillRecord | Sample | Penetration | DepthCheck


@dataclass(frozen=True, slots=True)
class EntryFault(Fault):
    """A fault of the entry with the id `entry`; its pointer is relative to that entry."""

    entry: str


def faults(
    *, ledger: Ledger, planned: tuple[Planned, ...], hold_points: tuple[HoldPoint, ...]
) -> tuple[EntryFault, ...]:
    """Everything in a ledger that does not fit its job, by entry.

    Cavities, bays and hold points that are not there, evidence that the kind of
    fill does not have, and tags that two penetrations share (a fault of both).
    """
    cavities = {each.cavity.label: each for each in planned}
    placed: tuple[Placed, ...] = (*ledger.fills, *ledger.samples, *ledger.penetrations, *ledger.depth_checks)
    tags = Counter(penetration.tag for penetration in ledger.penetrations)
    return tuple(
        EntryFault(fault.pointer, fault.detail, entry)
        for entry, found in (
            *((each.entry, _of_place(each, cavities.get(each.cavity))) for each in placed),
            *((each.entry, _of_tag(each, tags)) for each in ledger.penetrations),
            *((each.entry, _of_answer(each, hold_points)) for each in ledger.answers),
        )
        for fault in found
    )


def _of_place(entry: Placed, planned: Planned | None) -> Iterator[Fault]:
    if planned is None:
        yield Fault("/cavity", f"This job has no cavity {entry.cavity}.")
        return
    if isinstance(entry, DepthCheck):
        if planned.open_blow is None:
            yield Fault("/cavity", f"{entry.cavity} is filled tight: depths are of an open blow.")
        return
    yield from _of_bay(entry.bay, planned)
    if isinstance(entry, FillRecord) and (entry.method is Method.OPEN_BLOW) != (
        planned.open_blow is not None
    ):
        how = "blown open" if planned.open_blow else "filled tight"
        yield Fault("/method", f"{entry.cavity} is {how}: this method does not fit.")
    if isinstance(entry, Sample):
        yield from _of_sample(entry, planned)


def _of_bay(bay: int | None, planned: Planned) -> Iterator[Fault]:
    if bay is None or not planned.geometry.bays_known:
        return
    label, bays = planned.cavity.label, planned.geometry.bays
    if not 1 <= bay <= bays:
        yield Fault("/bay", f"{label} has the bays 1 to {bays}.")
    elif not any(bay in compartment.bays for compartment in planned.compartments):
        yield Fault("/bay", f"Bay {bay} of {label} is all opening: there is nothing to fill.")


def _of_sample(sample: Sample, planned: Planned) -> Iterator[Fault]:
    if planned.density is None:
        yield Fault("/cavity", f"{sample.cavity} is blown open: record a depth check.")
    elif sample.bay is None and planned.geometry.bays > 1:
        yield Fault("/bay", f"{sample.cavity} has several bays: name the one that was sampled.")


def _of_tag(penetration: Penetration, tags: Counter[str]) -> Iterator[Fault]:
    if tags[penetration.tag] > 1:
        yield Fault("/tag", f"Another penetration of this job has the tag {penetration.tag}.")


def _of_answer(answer: HoldPointAnswer, hold_points: tuple[HoldPoint, ...]) -> Iterator[Fault]:
    asked_of = {each.cavity for each in hold_points if each.code == answer.code}
    if not asked_of:
        yield Fault("/code", f"This job has no hold point {answer.code}.")
    elif answer.cavity is not None and answer.cavity not in asked_of:
        asked = "of the whole job" if asked_of == {None} else "of other cavities"
        yield Fault("/cavity", f"The hold point {answer.code} is asked {asked}.")
