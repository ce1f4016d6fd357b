"""A concession's row is what the engine holds conditions against."""

from typing import Any
from uuid import UUID

from service.engine.ground.vocabulary import ConditionCode
from service.engine.site.condition import Condition
from service.usecases.work.assessments import concession_of
from tests.stored import NOW

ROW: Any = {
    "id": UUID(int=1),
    "firm_id": UUID(int=2),
    "job_id": UUID(int=3),
    "condition": "samples_missing",
    "cavity": "W1",
    "subjects": ["W1/3", "W1/4"],
    "reason": "Seen again.",
    "granted_by": "The office",
    "granted_at": NOW,
    "key_id": UUID(int=4),
}


def condition(**changes: Any) -> Condition:
    said = {"code": ConditionCode.SAMPLES_MISSING, "cavity": "W1", "subject": "W1/3"}
    return Condition(**{**said, "detail": "x", "remedy": "y", **changes})


def test_a_row_covers_exactly_what_it_names() -> None:
    granted = concession_of(ROW)
    assert granted.subjects == ("W1/3", "W1/4")
    assert granted.covers(condition())
    assert not granted.covers(condition(subject="W1/5"))
    assert not granted.covers(condition(cavity="W2"))
    assert not granted.covers(condition(code=ConditionCode.PATCH_MISSING))
    assert not granted.covers(condition(concedable=False))


def test_of_the_whole_job_it_has_no_cavity() -> None:
    granted = concession_of({**ROW, "cavity": None, "subjects": ["stock"]})
    assert granted.covers(condition(cavity=None, subject="stock"))
    assert not granted.covers(condition(subject="stock"))
