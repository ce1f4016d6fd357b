"""What a job's ledger may hold."""

from collections.abc import Iterator
from dataclasses import replace

import pytest
from flask import Flask

from service.app import create_app
from service.settings import Settings
from tests.api import Api, problem

CHECK = {"kind": "stock", "recorded_at": "2026-11-25T08:00:00Z", "recorded_by": "Crew 1"}
STOCK = {**CHECK, "delivered_bags": 1, "left_over_bags": 0, "reclaimed_kg": 0}


@pytest.fixture
def app(settings: Settings) -> Iterator[Flask]:
    """The service with room for few entries."""
    app = create_app(replace(settings, entry_limit=3, job_entry_limit=5))
    yield app
    app.extensions["database"].dispose()


def test_a_batch_and_a_job_hold_so_many_entries_and_no_more(api: Api) -> None:
    job = api.job()
    refused = problem(api.record(job, [STOCK] * 4), 422)
    assert refused["errors"] == [{"pointer": "/entries", "detail": "At most 3 entries in one batch."}]
    assert api.record(job, [STOCK] * 3).status_code == 201
    refused = problem(api.record(job, [STOCK] * 3), 422)
    assert refused["detail"] == "At most 5 entries for one job: it has 3."
    assert api.record(job, [STOCK] * 2).status_code == 201
    assert len(api.send("GET", f"/v1/jobs/{job['id']}/entries").json["entries"]) == 5
