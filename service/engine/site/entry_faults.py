"""Entries that cannot belong to a job, found before they are stored.

A patch whose hole is not known is no fault: it may come first, from another phone. If the
hole never comes, it is a condition.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from service.engine.geometry.compartments import compartments, compartments_of
from service.engine.geometry.geometry import measured
from service.engine.geometry.plane import plane
from service.engine.ground.messages import Quantity, message
from service.engine.ground.vocabulary import Answer, Method
from service.engine.plan.hold_points import HoldPoint
from service.engine.site.condition import runs
from service.engine.site.entries import (
    Check,
    Checks,
    DepthCheck,
    Emptied,
    Fill,
    Found,
    Hole,
    Patch,
    Reclaimed,
    Sample,
    Tally,
)
from service.engine.site.entry import Entry
from service.engine.site.found_sizes import found_cavity, found_depth_mm
from service.engine.site.ledger import Ledger, by_part
from service.engine.site.planned import Planned
from service.engine.site.sample_faults import sample_faults
from service.engine.survey.practice import Practice
from service.errors import Fault, InvalidInput

WELL = (Answer.CLEAR, Answer.NOT_APPLICABLE)
"""Answers that ask for nothing more: none of them stands beside a reading beyond its limit."""


@dataclass(frozen=True, slots=True)
class EntryFault(Fault):
    """A fault of the entry with the id `entry`; its pointer is relative to that entry."""

    entry: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Job:
    """What entries are held against."""

    cavities: Mapping[str, Planned]
    hold_points: tuple[HoldPoint, ...]
    practice: Practice
    found: Mapping[str, tuple[Found, ...]]
    tags: Counter[tuple[str, str]]


def faults(
    *, ledger: Ledger, planned: tuple[Planned, ...], hold_points: tuple[HoldPoint, ...], practice: Practice
) -> tuple[EntryFault, ...]:
    """Everything in a ledger that does not fit its job, by entry."""
    told = by_part(ledger.of(Found))
    job = _Job(
        cavities={each.cavity.label: _as_met(each, told.get(each.cavity.label, ())) for each in planned},
        hold_points=hold_points,
        practice=practice,
        found=told,
        tags=Counter((each.cavity, each.tag) for each in ledger.of(Hole) if each.tag is not None),
    )
    return tuple(
        EntryFault(fault.pointer, fault.detail, entry.id)
        for entry in ledger.entries
        for fault in _of_entry(entry, job)
    )


def _as_met(planned: Planned, found: tuple[Found, ...]) -> Planned:
    """A part with the bays that it was found to have; those of the plan where what was found is refused."""
    if not any(each.members or each.members_at_m or each.member_mm for each in found):
        return planned
    try:
        laid_out = plane(cavity=found_cavity(planned=planned, found=found))
        spaces = compartments_of(laid_out=laid_out)
    except InvalidInput:
        return planned
    return replace(planned, geometry=measured(laid_out=laid_out), compartments=spaces)


def _of_entry(entry: Entry, job: _Job) -> Iterator[Fault]:
    label = getattr(entry, "cavity", None)
    if isinstance(entry, Check):
        yield from _of_check(entry, job.hold_points)
    elif isinstance(entry, Checks):
        yield from _of_checks(entry, job.hold_points)
    elif isinstance(entry, Reclaimed):
        yield from _of_labels(entry.cavities, job)
    elif label is not None and label not in job.cavities:
        yield Fault("/cavity", message("site.no_such_part", part=label))
    elif label is not None:
        yield from _of_part(entry, job.cavities[label], job)


def _of_labels(labels: Iterable[str], job: _Job) -> Iterator[Fault]:
    for index, label in enumerate(labels):
        if label not in job.cavities:
            yield Fault(f"/cavities/{index}", message("site.no_such_part", part=label))


def _of_part(entry: Entry, planned: Planned, job: _Job) -> Iterator[Fault]:
    for pointer, bay in _bays(entry):
        yield from _of_bay(pointer, bay, planned)
    if isinstance(entry, Emptied):
        yield from _of_method(entry, planned)
    if isinstance(entry, Sample):
        depth_mm = found_depth_mm(planned=planned, found=job.found.get(entry.cavity, ()))
        yield from sample_faults(
            sample=entry, planned=planned, found_depth_mm=depth_mm, practice=job.practice
        )
    if isinstance(entry, DepthCheck) and planned.open_blow is None:
        yield Fault("/cavity", message("site.depths_of_dense_fill", part=entry.cavity))
    if isinstance(entry, Found):
        yield from _of_found(entry, planned, job)
    yield from _of_numbers(entry, planned)
    if isinstance(entry, Hole) and entry.tag is not None and job.tags[entry.cavity, entry.tag] > 1:
        yield Fault("/tag", message("site.tag_twice", part=entry.cavity, tag=entry.tag))


def _of_found(entry: Found, planned: Planned, job: _Job) -> Iterator[Fault]:
    """What was found must be possible, together with what was found in the part besides."""
    if entry.depth_mm and planned.open_blow is not None:
        yield Fault("/depth_mm", message("site.depth_of_open_blow", part=entry.cavity))
        return
    layers = len(planned.cavity.layers)
    if entry.layer is not None and entry.layer > layers:
        yield Fault("/layer", message("site.no_such_layer", part=entry.cavity, layers=layers))
        return
    try:
        compartments(cavity=found_cavity(planned=planned, found=job.found.get(entry.cavity, ())))
    except InvalidInput as error:
        for fault in error.faults:
            own = fault.pointer in ("/depth_mm", "/layer")
            yield Fault(fault.pointer if own else _named(entry), fault.detail)


def _named(entry: Found) -> str:
    """The field that says what was found."""
    names = ("members", "members_at_m", "member_mm", "depth_mm")
    return next((f"/{name}" for name in names if getattr(entry, name)), "/depth_mm")


def _bays(entry: Entry) -> Iterator[tuple[str, int]]:
    if isinstance(entry, Fill | Sample | Hole | Found) and entry.bay is not None:
        yield "/bay", entry.bay
    if isinstance(entry, Emptied) and entry.last_bay is not None:
        yield "/last_bay", entry.last_bay
    if isinstance(entry, Tally) and entry.holes:
        for index, hole in enumerate(entry.holes.added):
            yield f"/holes/added/{index}/bay", hole.bay


def _of_bay(pointer: str, bay: int, planned: Planned) -> Iterator[Fault]:
    if not planned.geometry.bays_known:
        return
    label, bays = planned.cavity.label, planned.geometry.bays
    if not 1 <= bay <= bays:
        yield Fault(pointer, message("site.no_such_bay", part=label, bays=bays))
    elif not any(bay in compartment.bays for compartment in planned.compartments):
        yield Fault(pointer, message("site.bay_is_opening", part=label, bay=bay))


def _of_method(entry: Emptied, planned: Planned) -> Iterator[Fault]:
    is_open = planned.open_blow is not None
    if entry.method is not None and (entry.method is Method.OPEN_BLOW) != is_open:
        how = "site.method_of_open_blow" if is_open else "site.method_of_dense_fill"
        yield Fault("/method", message(how, part=planned.cavity.label))


def _of_numbers(entry: Entry, planned: Planned) -> Iterator[Fault]:
    known = {hole.number for hole in planned.hole_list}
    for pointer, number in _numbers(entry):
        if number not in known:
            said = message(
                "site.no_such_hole",
                part=planned.cavity.label,
                number=number,
                numbers=runs(tuple(known)) or ("–",),
            )
            yield Fault(pointer, said)


def _numbers(entry: Entry) -> Iterator[tuple[str, int]]:
    if isinstance(entry, Hole | Patch) and entry.number is not None:
        yield "/number", entry.number
    if isinstance(entry, Tally) and entry.holes:
        yield from ((f"/holes/omitted/{at}", each) for at, each in enumerate(entry.holes.omitted))
    if isinstance(entry, Tally) and entry.patched:
        yield from ((f"/patched/all_but/{at}", each) for at, each in enumerate(entry.patched.all_but))


def _of_check(check: Check, hold_points: tuple[HoldPoint, ...]) -> Iterator[Fault]:
    asked = [each for each in hold_points if each.code == check.code]
    if not asked:
        yield Fault("/code", message("site.no_such_hold_point", point=check.code))
        return
    if check.cavity is not None and check.cavity not in {each.cavity for each in asked}:
        yield Fault("/cavity", message("site.hold_point_elsewhere", point=check.code, part=check.cavity))
    limit = asked[0].reading
    if check.reading is None:
        return
    if limit is None:
        yield Fault("/reading", message("site.reading_not_asked", point=check.code))
    elif check.answer in WELL and not limit.allows(check.reading):
        yield Fault(
            "/answer",
            message(
                "site.reading_is_not_clear",
                point=check.code,
                reading=Quantity(check.reading, limit.unit),
                limit=Quantity(_nearest(limit.least, limit.most, check.reading), limit.unit),
            ),
        )


def _nearest(least: float | None, most: float | None, reading: float) -> float:
    limits = [limit for limit in (least, most) if limit is not None]
    return min(limits, key=lambda limit: abs(limit - reading))


def _of_checks(checks: Checks, hold_points: tuple[HoldPoint, ...]) -> Iterator[Fault]:
    points = {each.code: each for each in hold_points}
    codes = Counter(each.code for each in checks.points)
    for index, each in enumerate(checks.points):
        pointer, point = f"/points/{index}/code", points.get(each.code)
        if point is None:
            yield Fault(pointer, message("site.no_such_hold_point", point=each.code))
        elif not point.general:
            yield Fault(pointer, message("site.hold_point_stands_alone", point=each.code))
        elif codes[each.code] > 1:
            yield Fault(pointer, message("site.hold_point_twice", point=each.code))
