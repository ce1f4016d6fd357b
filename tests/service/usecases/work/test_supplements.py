"""A proposal is worked out before it is kept; what comes in between has it worked out anew."""

from typing import Any
from uuid import UUID, uuid4

import pytest

from service.errors import InvalidInput, NotKnown, Unavailable
from service.usecases.base.context import Caller, Context
from service.usecases.firm import firms
from service.usecases.work import agreed, supplements
from service.usecases.work.agreed import Agreements
from tests.api import NOW, Api, operator_of, small_building


@pytest.fixture
def office(api: Api) -> Context:
    """The demo firm's office."""
    with operator_of(api.app) as database:
        firm_id = firms.id_of(database, "demo")
    key = UUID(api.send("GET", "/v1/crews").json and str(uuid4()))
    caller = Caller(
        key_id=key, first_key_id=key, firm_id=firm_id, roles=frozenset({"office"}), label="Office"
    )
    extensions = api.app.extensions
    return Context(database=extensions["database"], settings=extensions["settings"], caller=caller, now=NOW)


def body(**said: Any) -> Any:
    return {"id": uuid4(), "by": "Crew 1", **said}


def test_it_says_something_at_least(office: Context) -> None:
    with pytest.raises(InvalidInput):
        supplements.propose(office, uuid4(), body())


def test_of_another_job_there_is_none() -> None:
    with pytest.raises(NotKnown):
        supplements.found(Agreements(supplements=(), named=frozenset()), uuid4())


def test_who_is_always_too_late_is_told_to_come_again(
    office: Context, api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = api.job()
    monkeypatch.setattr(agreed.Agreements, "versions", property(lambda _self: object()))
    found = {**small_building()["cavities"][0], "label": "N1"}
    with pytest.raises(Unavailable):
        supplements.propose(office, UUID(job["id"]), body(cavities=[found]))
    monkeypatch.undo()
    assert api.send("GET", f"/v1/jobs/{job['id']}/supplements").json == {"items": []}
