"""A job is its firm's, shows its price to who may see one, and takes nothing once it is closed."""

from dataclasses import replace
from uuid import uuid4

import pytest

from service.errors import Conflict, NotKnown
from service.store import jobs as rows
from service.store import seals
from service.store.session import reading
from service.usecases.base.context import Context
from service.usecases.work import jobs
from service.usecases.work.jobs import _only, _seen_by
from tests import builders
from tests.stored import Site


def test_a_job_is_its_firms_alone(context: Context, own: Site) -> None:
    with reading(context.database, firm_id=own.firm_id) as connection:
        assert jobs.found(connection, context, own.job_id)["id"] == own.job_id
        with pytest.raises(NotKnown):
            jobs.found(connection, context, uuid4())


def test_closing_is_sealed_and_done_once(context: Context, own: Site) -> None:
    assert jobs.close(context, own.job_id)["state"] == "closed"
    with pytest.raises(Conflict):
        jobs.close(context, own.job_id)
    with reading(context.database, firm_id=own.firm_id) as connection:
        kept = rows.by_id(connection, firm_id=own.firm_id, job_id=own.job_id)
        assert kept
        assert kept["state"] == "closed"
        assert len(seals.of_quote(connection, kept["quote_id"])) == 1


@pytest.mark.parametrize("state", ["open", "certified"])
def test_what_is_not_closed_takes_more(state: str) -> None:
    jobs.must_be_open({"state": state})
    with pytest.raises(Conflict):
        jobs.must_be_open({"state": "closed"})


@pytest.mark.parametrize(
    ("role", "sees"),
    [("office", True), ("sales", True), ("installer", False), ("signatory", False), ("crew", False)],
)
def test_a_price_is_for_who_may_see_it(context: Context, role: str, sees: bool) -> None:
    assert context.caller
    caller = replace(context.caller, roles=frozenset({role}))
    shown = _seen_by(replace(context, caller=caller), {"price": {"total": "1.00"}, "mass_kg": 3})
    assert ("price" in shown, shown["mass_kg"]) == (sees, 3)
    assert "price" not in _seen_by(replace(context, caller=None), {"price": 1})


def test_one_part_comes_as_it_was_surveyed_and_worked_out() -> None:
    worked = [{"label": "W1", "mass_kg": 1}, {"label": "W2", "mass_kg": 2}]
    one, two = (builders.wall(label=each["label"]) for each in worked)
    facts = {"cavities": [one, two], "takeoff": {"cavities": worked, "bags": 3}}
    assert _only(facts, "W2") == {"cavities": [two], "takeoff": {"cavities": [worked[1]], "bags": 3}}
    with pytest.raises(NotKnown):
        _only(facts, "W3")
