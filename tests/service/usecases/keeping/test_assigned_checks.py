"""A crew sees a job on the days that were said last: other days than these are found."""

from typing import Any
from uuid import UUID, uuid4

import pytest
from flask import Flask
from sqlalchemy import Connection, Engine

from service.store.tables import assigned_days, imports
from service.usecases.firm import firms
from service.usecases.keeping.assigned_checks import assigned_faults
from tests.api import NOW, Api, small_building
from tests.said import said
from tests.tampering import undone

pytestmark = pytest.mark.usefixtures("papers_plain")


@pytest.fixture(scope="module")
def job(app: Flask) -> Any:
    """A job that a crew was assigned to, first on one day and then on another."""
    api = Api(app)
    job = api.job(small_building())
    crew = api.send("POST", "/v1/crews", {"name": "North"}, Idempotency_Key=str(uuid4())).json["id"]
    for day in ("2026-11-24", "2026-11-25"):
        assigned = {"days": [{"day": day, "crew": crew}]}
        assert api.send("PUT", f"/v1/jobs/{job['id']}/assignment", assigned).status_code == 200
    return job


def faults(connection: Connection, database: Engine) -> list[str]:
    return list(map(said, assigned_faults(connection, firms.id_of(database, "demo"))))


def test_days_that_nobody_said_and_days_that_are_gone_are_found(database: Engine, job: Any) -> None:
    wrong = f"Job {job['number']} is kept for other days or crews than its last assignment says."
    for change in (
        assigned_days.update().values(day=NOW.date().replace(day=24)),
        assigned_days.delete(),
    ):
        with undone(database) as connection:
            assert faults(connection, database) == []
            connection.execute(change)
            assert faults(connection, database) == [wrong]


def test_the_days_of_a_job_that_was_imported_did_not_come_along(database: Engine, job: Any) -> None:
    with undone(database) as connection:
        connection.execute(assigned_days.delete())
        row = {"quote_id": UUID(job["quote_id"]), "firm_id": firms.id_of(database, "demo")}
        connection.execute(imports.insert().values(chain={}, imported_at=NOW, **row))
        assert faults(connection, database) == []
