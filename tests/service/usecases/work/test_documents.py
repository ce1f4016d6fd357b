"""Each kind of document that a task can name is made and stored by what stands beside it."""

from datetime import UTC, datetime
from typing import Any
from uuid import UUID, uuid4

from flask import Flask

from service.store import supplements
from service.store.session import reading
from service.usecases.base.context import Context
from service.usecases.firm import firms
from service.usecases.work.documents import MAKERS
from tests.api import Api, operator_of


def offered(api: Api, job: Any, context: Context) -> str:
    """The offer of a supplement of a line alone: what owns its document."""
    path = f"/v1/jobs/{job['id']}/supplements"
    said = {"id": str(uuid4()), "by": "Crew 1", "lines": [{"text": "Skip", "quantity": 1, "unit": "piece"}]}
    assert api.send("POST", path, said, Idempotency_Key=said["id"]).status_code == 201
    terms = {"unit_prices": ["90.00"]}
    assert api.send("POST", f"{path}/{said['id']}/offer", terms).status_code == 200
    with reading(context.database, firm_id=context.firm_id) as connection:
        return str(supplements.steps_of(connection, [UUID(job["id"])])[-1]["id"])


def test_every_kind_is_made_once_and_stays(app: Flask, api: Api) -> None:
    job = api.worked()
    issued = api.issue(job).json
    database, settings = app.extensions["database"], app.extensions["settings"]
    nobody = Context(database=database, settings=settings, caller=None, now=datetime.now(UTC))
    with operator_of(app) as operator:
        context = nobody.acting_for(firms.id_of(operator, "demo"), "worker")
    owners = {
        **{"quote": job["quote_id"], "crew_sheet": job["id"], "certificate": issued["id"]},
        "supplement": offered(api, job, context),
    }
    assert owners.keys() == MAKERS.keys()
    for kind, owner in owners.items():
        first, second = (MAKERS[kind](context, UUID(owner)) for _ in range(2))
        assert first["kind"] == kind  # type: ignore[index]
        assert first == second
