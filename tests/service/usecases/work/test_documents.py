"""Each kind of document that a task can name is made and stored by what stands beside it."""

from datetime import UTC, datetime
from uuid import UUID

from flask import Flask

from service.usecases.base.context import Context
from service.usecases.firm import firms
from service.usecases.work.documents import MAKERS
from tests.api import Api, operator_of


def test_every_kind_is_made_once_and_stays(app: Flask, api: Api) -> None:
    job = api.worked()
    issued = api.issue(job).json
    database, settings = app.extensions["database"], app.extensions["settings"]
    nobody = Context(database=database, settings=settings, caller=None, now=datetime.now(UTC))
    with operator_of(app) as operator:
        context = nobody.acting_for(firms.id_of(operator, "demo"), "worker")
    owners = {"quote": job["quote_id"], "crew_sheet": job["id"], "certificate": issued["id"]}
    assert owners.keys() == MAKERS.keys()
    for kind, owner in owners.items():
        first, second = (MAKERS[kind](context, UUID(owner)) for _ in range(2))
        assert first["kind"] == kind  # type: ignore[index]
        assert first == second
