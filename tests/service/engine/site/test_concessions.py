"""A concession covers exactly what it was granted for."""

from dataclasses import replace

import pytest

from service.engine.ground.messages import message
from service.engine.ground.vocabulary import ConditionCode
from service.engine.site.concessions import Concession, unmet
from service.engine.site.condition import Condition

MISSING = Condition(
    code=ConditionCode.SAMPLES_MISSING,
    cavity="W1",
    subject="W1/3",
    detail=message("test.one_short"),
    remedy=message("test.sample"),
)
GRANTED = Concession(
    condition=ConditionCode.SAMPLES_MISSING,
    cavity="W1",
    subjects=("W1/3",),
    reason="The bay cannot be reached.",
    granted_by="Office",
    granted_at="2026-11-25T12:00:00Z",
)


def test_it_covers_its_condition() -> None:
    assert GRANTED.covers(MISSING)
    assert unmet(conditions=(MISSING,), concessions=(GRANTED,)) == ()


@pytest.mark.parametrize(
    "other",
    [
        replace(MISSING, code=ConditionCode.DENSITY_INCONCLUSIVE),
        replace(MISSING, cavity="W2"),
        replace(MISSING, cavity=None),
        replace(MISSING, subject="W1/4"),
    ],
    ids=["another code", "another cavity", "the whole job", "another subject"],
)
def test_it_covers_nothing_else(other: Condition) -> None:
    assert unmet(conditions=(MISSING, other), concessions=(GRANTED,)) == (other,)


def test_what_must_be_met_is_covered_by_none() -> None:
    fixed = replace(MISSING, concedable=False)
    assert unmet(conditions=(fixed,), concessions=(GRANTED,)) == (fixed,)
