"""Which unmet conditions a concession means."""

import pytest

from service.engine.ground.messages import message
from service.engine.ground.vocabulary import ConditionCode
from service.engine.site.condition import Condition
from service.errors import InvalidInput
from service.usecases.work.concessions import Asked, _named

CODE = ConditionCode.HOLD_POINT_LATE


def condition(cavity: str | None, subject: str) -> Condition:
    """An unmet condition."""
    return Condition(
        code=CODE,
        cavity=cavity,
        subject=subject,
        detail=message("test.late"),
        remedy=message("test.look_again"),
    )


UNMET = (
    condition(None, "flues"),
    condition("W1", "moisture"),
    condition("W1", "wiring"),
    condition("W2", "wiring"),
)


def named(**asked: str) -> list[tuple[str | None, str]]:
    """The conditions that are meant."""
    wanted = Asked(condition=CODE, reason="Seen.", granted_by="Office", **asked)
    return [(each.cavity, each.subject) for each in _named(UNMET, wanted)]


def test_without_a_cavity_it_is_of_the_whole_job_or_by_its_subject() -> None:
    assert named() == [(None, "flues")]
    assert named(subject="flues") == [(None, "flues")]
    assert named(subject="moisture") == [("W1", "moisture")]


def test_without_a_subject_it_is_all_of_the_cavity() -> None:
    assert named(cavity="W1") == [("W1", "moisture"), ("W1", "wiring")]
    assert named(cavity="W2", subject="wiring") == [("W2", "wiring")]


@pytest.mark.parametrize(
    "asked", [{"subject": "wiring"}, {"cavity": "W3"}, {"cavity": "W2", "subject": "flues"}]
)
def test_what_is_meant_by_none_or_by_several_is_refused(asked: dict[str, str]) -> None:
    with pytest.raises(InvalidInput):
        named(**asked)
