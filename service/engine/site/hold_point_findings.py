"""The hold points of a job as they were answered on the site."""

from dataclasses import dataclass

from service.engine.ground.vocabulary import Answer, Stage, Standing
from service.engine.plan.hold_points import HoldPoint, concerned
from service.engine.site.ledger import FillRecord, HoldPointAnswer, Ledger, in_order
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Practice, Texts


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPointFinding:
    """A hold point and its last answer; the fields of the answer are None where it is open.

    `first_answered_at` is when it was answered first, `first_filled_at` when the first fill
    went into a cavity that it is asked for. `late`: it was due before that fill and answered after it.
    """

    code: str
    stage: Stage
    text: Texts
    cavity: str | None
    safety: bool
    source: str
    standing: Standing
    answer: Answer | None
    reading: str | None
    remark: str | None
    recorded_at: str | None
    recorded_by: str | None
    first_answered_at: str | None
    first_filled_at: str | None
    late: bool


def hold_point_findings(
    *, hold_points: tuple[HoldPoint, ...], cavities: tuple[Cavity, ...], practice: Practice, ledger: Ledger
) -> tuple[HoldPointFinding, ...]:
    """Every hold point with its answers; the ledger is in order of recording.

    An answer for the whole job covers the cavities without an answer of their own.
    """
    fills = {fill.cavity: fill for fill in reversed(ledger.fills)}
    answers: dict[str, list[HoldPointAnswer]] = {}
    for each in ledger.answers:
        answers.setdefault(each.code, []).append(each)
    return tuple(
        _finding(
            point,
            answers.get(point.code, []),
            in_order(
                fills[label]
                for label in concerned(point=point, cavities=cavities, practice=practice)
                if label in fills
            ),
        )
        for point in hold_points
    )


def _finding(
    point: HoldPoint, answers: list[HoldPointAnswer], fills: tuple[FillRecord, ...]
) -> HoldPointFinding:
    its_own = tuple(each for each in answers if each.cavity == point.cavity)
    of_all = tuple(each for each in answers if each.cavity is None)
    last = next(reversed(its_own or of_all), None)
    first = next((each for each in answers if each.cavity in (point.cavity, None)), None)
    fill = next(iter(fills), None)
    return HoldPointFinding(
        code=point.code,
        stage=point.stage,
        text=point.text,
        cavity=point.cavity,
        safety=point.safety,
        source=point.source,
        standing=point.standing,
        answer=last.answer if last else None,
        reading=last.reading if last else None,
        remark=last.remark if last else None,
        recorded_at=last.recorded_at if last else None,
        recorded_by=last.recorded_by if last else None,
        first_answered_at=first.recorded_at if first else None,
        first_filled_at=fill.recorded_at if fill else None,
        late=bool(point.stage is Stage.BEFORE and first and fill and first.at > fill.at),
    )
