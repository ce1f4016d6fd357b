"""The hold points of a job as they were answered on the site."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import chain
from operator import itemgetter
from typing import Annotated

from service.engine.ground.vocabulary import Answer, Stage, Standing
from service.engine.plan.hold_points import HoldPoint, concerned
from service.engine.site.entries import Check, Checks, Fill
from service.engine.site.ledger import Ledger
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Practice, Reading
from service.engine.survey.sourced import Texts

Asked = tuple[str, str | None]
"""A hold point's code, and the part that is asked or answered for; None for the whole job."""
Placed = tuple[int, Check]
NEEDS_NO_READING = (Answer.NOT_APPLICABLE, Answer.STOPPED)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPointFinding:
    """A hold point and its last answer; the fields of the answer are None where it is open."""

    code: Annotated[str, "what the point is known by"]
    stage: Annotated[Stage, "when it is due"]
    text: Annotated[Texts, "what is to be seen to, by language"]
    cavity: Annotated[str | None, "the part it is asked for; None for the whole job"]
    safety: Annotated[bool, "whether people can be hurt: no concession is granted for it"]
    source: Annotated[str, "where the point comes from"]
    standing: Annotated[Standing, "how well that is known"]
    limit: Annotated[Reading | None, "the number that it asks for, and within what it is clear"]
    answer: Annotated[Answer | None, "the answer that stands"]
    reading: Annotated[float | None, "the number that was read, in the point's unit"]
    remark: Annotated[str | None, "what was remarked"]
    happened_at: Annotated[str | None, "when it was answered"]
    by: Annotated[str | None, "who says so"]
    together: Annotated[bool, "whether it was answered with others on one screen"]
    photos: Annotated[tuple[str, ...], "ids of the answer's photos"]
    first_answered_at: Annotated[str | None, "when it was first answered so that filling may begin"]
    first_filled_at: Annotated[str | None, "when the first fill went into a part that it is asked for"]
    late: Annotated[bool, "due before filling, and first answered after it had begun"]

    @property
    def lacks_reading(self) -> bool:
        """Whether it was answered without the number that it asks for."""
        asked = self.limit is not None and self.answer is not None and self.answer not in NEEDS_NO_READING
        return asked and self.reading is None


def hold_point_findings(
    *, hold_points: tuple[HoldPoint, ...], cavities: tuple[Cavity, ...], practice: Practice, ledger: Ledger
) -> tuple[HoldPointFinding, ...]:
    """Every hold point with its answers; the ledger is in order.

    An answer for the whole job covers the parts without an answer of their own; one
    that stops the work covers them all until they are answered anew.
    """
    fills = {fill.cavity: fill for fill in reversed(ledger.fills)}
    answers = _answers(ledger)
    together = frozenset(each.id for each in ledger.of(Checks))
    return tuple(
        _finding(
            point,
            _concerning(point, answers),
            [
                fills[label]
                for label in concerned(point=point, cavities=cavities, practice=practice)
                if label in fills
            ],
            together,
        )
        for point in hold_points
    )


def _answers(ledger: Ledger) -> dict[Asked, list[Placed]]:
    """Every answer with its place in the order, by what it answers: no point looks through other parts'."""
    answers: dict[Asked, list[Placed]] = {}
    for place, each in enumerate(given(ledger=ledger)):
        answers.setdefault((each.code, each.cavity), []).append((place, each))
    return answers


def _concerning(point: HoldPoint, answers: Mapping[Asked, list[Placed]]) -> list[Check]:
    """The answers for a point's part and for the whole job, in order."""
    of_both = (answers.get((point.code, cavity), ()) for cavity in {point.cavity, None})
    return [each for _, each in sorted(chain.from_iterable(of_both), key=itemgetter(0))]


def given(*, ledger: Ledger) -> tuple[Check, ...]:
    """Every answer that was given, one by one or with others, in the ledger's order."""
    return tuple(
        answer
        for each in ledger.entries
        if isinstance(each, Check | Checks)
        for answer in ((each,) if isinstance(each, Check) else _one_by_one(each))
    )


def _one_by_one(checks: Checks) -> Iterable[Check]:
    for point in checks.points:
        yield Check(
            id=checks.id,
            happened_at=checks.happened_at,
            by=checks.by,
            remark=checks.remark,
            photos=checks.photos,
            received_at=checks.received_at,
            position=checks.position,
            code=point.code,
            answer=point.answer,
        )


def _finding(
    point: HoldPoint, answers: list[Check], fills: list[Fill], together: frozenset[str]
) -> HoldPointFinding:
    last = _standing(point, answers)
    fill = min(fills, key=lambda each: each.at, default=None)
    first = _let_begin(point, answers, fill)
    return HoldPointFinding(
        code=point.code,
        stage=point.stage,
        text=point.text,
        cavity=point.cavity,
        safety=point.safety,
        source=point.source,
        standing=point.standing,
        limit=point.reading,
        answer=last.answer if last else None,
        reading=last.reading if last else None,
        remark=last.remark if last else None,
        happened_at=last.told_at if last else None,
        by=last.by if last else None,
        together=bool(last and last.id in together),
        photos=last.photos if last else (),
        first_answered_at=first.told_at if first else None,
        first_filled_at=fill.told_at if fill else None,
        late=bool(point.stage is Stage.BEFORE and first and fill and first.at > fill.at),
    )


def _let_begin(point: HoldPoint, answers: list[Check], fill: Fill | None) -> Check | None:
    """The first answer that lets filling begin: none that stops it, and none before a stop that held then."""
    before = [each for each in answers if fill and each.at <= fill.at]
    held = _standing(point, before)
    stopped = held is not None and held.answer is Answer.STOPPED
    anew = answers[len(before) :] if stopped else answers
    return next((each for each in anew if each.answer is not Answer.STOPPED), next(iter(answers), None))


def _standing(point: HoldPoint, concerning: list[Check]) -> Check | None:
    """The last answer of the part itself, else of the whole job; a later stop of the job goes before it."""
    own = next((each for each in reversed(concerning) if each.cavity == point.cavity), None)
    job = next((each for each in reversed(concerning) if each.cavity is None), None)
    if own and job and job.answer is Answer.STOPPED and concerning.index(job) > concerning.index(own):
        return job
    return own or job
