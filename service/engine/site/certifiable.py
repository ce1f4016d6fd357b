"""A certificate for some parts of a job: what stands in its way, and what it says at a glance."""

from dataclasses import dataclass, replace
from typing import Annotated

from service.engine.ground.vocabulary import ConditionCode, Element, Stage, Verdict
from service.engine.site.assessment import Assessment
from service.engine.site.concessions import Concession, unmet
from service.engine.site.condition import Condition
from service.engine.site.planned import Planned


@dataclass(frozen=True, slots=True, kw_only=True)
class PartOutcome:
    """A part that the certificate is for."""

    cavity: Annotated[str, "the part's label"]
    verdict: Annotated[Verdict | None, "whether its density is shown; none where there is no evidence"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A part that the certificate says nothing of."""

    cavity: Annotated[str, "the part's label"]
    element: Annotated[Element, "what it is a part of"]
    filled: Annotated[bool, "whether any fill is on record"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Conceded:
    """A concession without its words: what may be known of it in public."""

    condition: Annotated[ConditionCode, "what is not met"]
    cavity: Annotated[str | None, "the cavity; none where the condition is of the whole job"]
    subjects: Annotated[tuple[str, ...], "what it is granted for in it"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a certificate says at a glance: whatever fails, is undecided, unfilled or conceded is named."""

    parts: Annotated[tuple[PartOutcome, ...], "the parts that it is for"]
    not_part: Annotated[tuple[LeftOut, ...], "the other parts of the job"]
    concessions: Annotated[tuple[Conceded, ...], "what was granted"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Certifiable:
    """What a certificate for some parts of a job would rest on.

    `assessment` holds what was found of its parts alone. `unmet` are the conditions that
    still stand in its way. It `completes` the job where no part is left without a certificate.
    """

    assessment: Assessment
    concessions: tuple[Concession, ...]
    unmet: tuple[Condition, ...]
    completes: bool
    outcome: Outcome


def certifiable(
    *,
    planned: tuple[Planned, ...],
    assessment: Assessment,
    concessions: tuple[Concession, ...],
    parts: frozenset[str],
    elsewhere: frozenset[str],
) -> Certifiable:
    """What a certificate for `parts` would rest on, while those `elsewhere` have one that stays in force."""
    labels = {each.cavity.label for each in planned if each.agreed}
    completes = labels <= parts | elsewhere
    conditions = tuple(
        each for each in assessment.conditions if _concerns(each, assessment, parts, completes=completes)
    )
    used = tuple(each for each in concessions if any(map(each.covers, conditions)))
    left = unmet(conditions=conditions, concessions=used)
    return Certifiable(
        assessment=_of_parts(assessment, conditions, parts, completes=completes),
        concessions=used,
        unmet=left,
        completes=completes,
        outcome=_outcome(planned, assessment, used, parts),
    )


def _concerns(
    condition: Condition, assessment: Assessment, parts: frozenset[str], *, completes: bool
) -> bool:
    """Whether a condition stands in the way of a certificate for these parts."""
    if condition.cavity is not None:
        return condition.cavity in parts
    if condition.parts:
        return not parts.isdisjoint(condition.parts)
    return completes or not _waits_for_the_last(condition, assessment)


def _waits_for_the_last(condition: Condition, assessment: Assessment) -> bool:
    """Stock and after-work points of the whole job, safety apart: they are due when the job is complete."""
    if condition.code is ConditionCode.STOCK_UNRECONCILED:
        return True
    of_job = (each for each in assessment.hold_points if each.cavity is None)
    return any(
        each.code == condition.subject and each.stage is Stage.AFTER and not each.safety for each in of_job
    )


def _of_parts(
    found: Assessment, conditions: tuple[Condition, ...], parts: frozenset[str], *, completes: bool
) -> Assessment:
    # What was never filled is no part of a certificate, whoever asks for it.
    filled = {each.label for each in found.cavities if each.label in parts and each.mass_kg is not None}
    return replace(
        found,
        cavities=tuple(each for each in found.cavities if each.label in filled),
        hold_points=tuple(each for each in found.hold_points if each.cavity in {None, *filled}),
        as_found=tuple(each for each in found.as_found if each.cavity in filled),
        holes=tuple(each for each in found.holes if each.cavity in filled),
        stock=found.stock if completes else (),
        conditions=conditions,
        ready=not conditions,
    )


def _outcome(
    planned: tuple[Planned, ...],
    found: Assessment,
    concessions: tuple[Concession, ...],
    parts: frozenset[str],
) -> Outcome:
    filled = {each.label: each.mass_kg is not None for each in found.cavities}
    return Outcome(
        parts=tuple(
            PartOutcome(cavity=each.label, verdict=each.verdict)
            for each in found.cavities
            if each.label in parts and filled[each.label]
        ),
        not_part=tuple(
            LeftOut(cavity=each.cavity.label, element=each.cavity.element, filled=filled[each.cavity.label])
            for each in planned
            if each.cavity.label not in parts or not filled[each.cavity.label]
        ),
        concessions=tuple(
            Conceded(condition=each.condition, cavity=each.cavity, subjects=each.subjects)
            for each in concessions
        ),
    )
