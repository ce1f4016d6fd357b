"""An offer of a supplement holds as long as it says, for the job that it was priced for."""

from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from service.errors import Conflict
from service.usecases.base.context import Context
from service.usecases.work.agreed import Agreements, Supplement
from service.usecases.work.supplement_offers import must_be_acceptable
from tests.api import NOW

TODAY = NOW.date().isoformat()


def supplement(number: int, *kinds: str, dropped: tuple[str, ...] = (), **offer: Any) -> Supplement:
    row: Any = {"id": UUID(int=number), "number": f"S{number}", "dropped": list(dropped)}
    data = {"valid_until": TODAY, "rests_on": [], **offer}
    steps: Any = tuple({"kind": kind, "data": data} for kind in ("proposal", *kinds))
    return Supplement(row=row, steps=steps)


def refusal(context: Context, it: Supplement, *others: Supplement, named: tuple[str, ...] = ()) -> str | None:
    """The code of why it cannot be accepted."""
    try:
        must_be_acceptable(it, Agreements(supplements=(*others, it), named=frozenset(named)), context)
    except Conflict as error:
        return error.detail if isinstance(error.detail, str) else error.detail.code
    return None


def test_while_it_holds_it_can_be_accepted(context: Context) -> None:
    assert refusal(context, supplement(1, "offer")) is None
    other = supplement(2, "offer", "acceptance")
    assert refusal(context, supplement(1, "offer", rests_on=[str(other.id)]), other) is None


@pytest.mark.parametrize(
    "kinds", [(), ("offer", "refusal"), ("offer", "withdrawal"), ("offer", "acceptance")]
)
def test_what_is_not_offered_cannot(context: Context, kinds: tuple[str, ...]) -> None:
    assert refusal(context, supplement(1, *kinds)) == "supplements.not_to_be_accepted"


def test_it_lapses(context: Context) -> None:
    later = replace(context, now=NOW + timedelta(days=1))
    assert refusal(later, supplement(1, "offer")) == "supplements.lapsed"


def test_another_that_was_accepted_since_changes_its_price(context: Context) -> None:
    other = supplement(2, "offer", "acceptance")
    assert refusal(context, supplement(1, "offer"), other) == "supplements.price_outdated"


def test_what_was_recorded_of_is_not_left_out(context: Context) -> None:
    its = supplement(1, "offer", dropped=("W2",))
    assert refusal(context, its, named=("W2",)) == "supplements.recorded_since"


def test_what_another_leaves_out_already_is_not_left_out_twice(context: Context) -> None:
    its, other = (
        supplement(1, "offer", dropped=("W2",)),
        supplement(2, "refusal", "takeover", dropped=("W2",)),
    )
    assert refusal(context, its, other) == "supplements.left_out_already"
    # What the office took over can still be accepted by the client.
    assert refusal(context, supplement(1, "takeover", "offer", dropped=("W2",))) is None
