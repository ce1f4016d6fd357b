"""What has become of a supplement, by its steps, and what that says of the job's parts."""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from service.usecases.work.agreed import Agreements, Supplement
from tests.api import NOW

MORE = {"mass_kg": 10.0, "bags": 1}
POINT = {"code": "moisture", "cavity": "N1"}


def supplement(number: int, *steps: str, **row: Any) -> Supplement:
    """A supplement that went through these steps after it was proposed."""
    kept: Any = {"id": UUID(int=number), "number": f"S{number}", "dropped": [], "hold_points": [POINT]}
    taken: Any = [
        {"kind": kind, "position": place, "taken_at": NOW + timedelta(hours=place), "data": {"by": "Office"}}
        for place, kind in enumerate(("proposal", *steps), start=1)
    ]
    return Supplement(row={**kept, "summary": MORE, **row}, steps=tuple(taken))


def agreements(*supplements: Supplement, named: tuple[str, ...] = ()) -> Agreements:
    return Agreements(supplements=supplements, named=frozenset(named))


@pytest.mark.parametrize(
    ("steps", "state", "agreed", "is_open"),
    [
        ((), "proposed", False, True),
        (("offer",), "offered", False, True),
        (("offer", "offer", "acceptance"), "accepted", True, False),
        (("offer", "refusal"), "refused", False, False),
        (("withdrawal",), "withdrawn", False, False),
        (("offer", "refusal", "takeover"), "refused", True, False),
        (("takeover",), "proposed", True, True),
    ],
)
def test_its_state_is_that_of_its_last_step(
    steps: tuple[str, ...], state: str, agreed: bool, is_open: bool
) -> None:
    found = supplement(1, *steps)
    assert (found.state, found.is_agreed, found.is_open) == (state, agreed, is_open)
    assert found.version == len(steps) + 1


@pytest.mark.parametrize(
    ("steps", "named", "planned", "agreed"),
    [
        ((), (), True, False),
        (("offer", "acceptance"), (), True, True),
        (("offer", "refusal"), (), False, False),
        (("offer", "refusal"), ("N1",), True, False),
    ],
    ids=["open", "accepted", "refused", "refused and filled"],
)
def test_a_part_that_it_brings(
    steps: tuple[str, ...], named: tuple[str, ...], planned: bool, agreed: bool
) -> None:
    its = supplement(1, *steps)
    found = agreements(its, named=named).standing("N1", its)
    assert (found.supplement, found.planned, found.agreed) == ("S1", planned, agreed)


def test_a_part_that_is_left_out_goes_once_that_is_agreed_unless_something_is_recorded_of_it() -> None:
    offered, accepted = (
        supplement(1, *steps, dropped=["W2"]) for steps in (("offer",), ("offer", "acceptance"))
    )
    assert agreements(offered).standing("W2").agreed
    assert not agreements(accepted).standing("W2").planned
    filled = agreements(accepted, named=("W2",)).standing("W2")
    assert (filled.planned, filled.agreed) == (True, False)
    assert agreements(accepted).standing("W1").agreed


def test_totals_and_hold_points_are_those_on_the_plan() -> None:
    quoted = {"mass_kg": 100.0, "bags": 8, "hold_points": [{"code": "flues", "cavity": None}]}
    for its, mass_kg, points in (
        (supplement(1), 110.0, 2),
        (supplement(1, "offer", "refusal"), 100.0, 1),
        (supplement(1, "offer", "acceptance", dropped=["N1"]), 110.0, 1),
    ):
        found = agreements(its).summary(quoted, frozenset({"W1"}))
        assert (found["mass_kg"], len(found["hold_points"])) == (mass_kg, points)
    refused = agreements(supplement(1, "offer", "refusal"))
    assert len(refused.summary(quoted, frozenset({"W1"}), ever=True)["hold_points"]) == 2


def test_papers_never_say_who_accepted() -> None:
    said = supplement(1, "offer", "acceptance").recorded
    assert said["accepted_at"]
    assert "Office" not in str(said)
    assert supplement(1, "takeover").recorded["taken_over"]["by"] == "Office"
