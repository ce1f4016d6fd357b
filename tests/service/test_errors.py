"""Errors say what is wrong and where, and no more than may be shown."""

import pickle

import pytest

from service import errors
from service.engine.ground.messages import message
from service.errors import (
    BaywrightError,
    ConditionsUnmet,
    Conflict,
    Fault,
    InvalidInput,
    Repeated,
    Unavailable,
)

KINDS = [
    kind for kind in vars(errors).values() if isinstance(kind, type) and issubclass(kind, BaywrightError)
]


def test_faults_are_seen_from_further_out() -> None:
    inner = InvalidInput(Fault("/width_m", "Too wide."), Fault("", "Not a wall."))
    outer = inner.under("/cavities/3")
    assert [fault.pointer for fault in outer.faults] == ["/cavities/3/width_m", "/cavities/3"]
    assert [fault.detail for fault in outer.faults] == [fault.detail for fault in inner.faults]
    assert [fault.pointer for fault in inner.faults] == ["/width_m", ""]
    assert outer.under("/quotes/0").faults[1].pointer == "/quotes/0/cavities/3"


def test_bad_input_says_its_first_fault() -> None:
    assert InvalidInput(Fault("/a", "First."), Fault("/b", "Second.")).detail == "First."
    assert InvalidInput().detail


def test_a_refused_certificate_is_a_conflict_that_names_every_condition() -> None:
    error = ConditionsUnmet(message("made.up"), [{"code": "stock_unreconciled"}])
    assert isinstance(error, Conflict)
    assert error.conditions == [{"code": "stock_unreconciled"}]


def test_what_was_repeated_carries_its_first_answer() -> None:
    assert Repeated({"id": 1}).answer == {"id": 1}


def test_only_a_lost_commit_is_undecided() -> None:
    assert Unavailable("Busy.").undecided is False
    assert Unavailable("Lost.", undecided=True).undecided is True


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_the_tree_at_the_head_of_the_module_has_every_kind(kind: type) -> None:
    assert kind.__name__ in (errors.__doc__ or "")
    assert kind.__doc__


def test_faults_are_equal_by_what_they_say() -> None:
    fault = Fault("/a", message("made.up", figure=1))
    assert pickle.loads(pickle.dumps(fault)) == fault
    assert fault != Fault("/b", fault.detail)
