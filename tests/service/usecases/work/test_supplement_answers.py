"""A supplement as it is answered: its price to sales and office, and to nobody else."""

from dataclasses import replace
from typing import Any

import pytest

from service.usecases.base.context import Caller, Context
from service.usecases.work.agreed import Supplement
from service.usecases.work.supplement_answers import SupplementAnswer, answer
from tests.api import NOW
from tests.stored import Site

ROW: Any = {
    **{"id": "1", "number": "S1", "by": "Crew 1", "remark": None, "proposed_at": NOW, "dropped": []},
    **{"counts": [], "lines": [], "summary": {}},
}
OFFER = {"price": {"total": "12.00"}, "valid_until": "2026-12-24"}
STEPS: Any = (
    {"kind": "proposal", "taken_at": NOW, "data": {}},
    {"kind": "offer", "taken_at": NOW, "data": OFFER},
    {"kind": "refusal", "taken_at": NOW, "data": {"reason": "Too dear"}},
)


@pytest.mark.parametrize(
    ("role", "sees"), [("sales", True), ("office", True), ("installer", False), ("crew", False)]
)
def test_who_sees_its_price(context: Context, own: Site, role: str, sees: bool) -> None:
    caller = Caller(
        key_id=own.key_id, first_key_id=own.key_id, firm_id=own.firm_id, roles=frozenset({role}), label=role
    )
    found = answer(Supplement(row=ROW, steps=STEPS), [], replace(context, caller=caller))
    assert ("price" in found) == sees
    assert (found["state"], found["reason"], found["valid_until"]) == ("refused", "Too dear", "2026-12-24")


def test_it_has_the_members_that_are_described(context: Context) -> None:
    found = answer(Supplement(row=ROW, steps=STEPS), [], context)
    assert found.keys() == SupplementAnswer.__dataclass_fields__.keys()
