"""Certificates below the API: their order when requests wait for one another."""

from dataclasses import replace
from datetime import UTC, datetime
from uuid import UUID

import pytest
from flask import Flask
from sqlalchemy import Engine, select

from service.store.session import reading
from service.store.tables import keys
from service.usecases.base.context import Caller, Context
from service.usecases.keeping import checks
from service.usecases.work import certificates, previews
from service.usecases.work.certificates import Wanted
from tests.api import SIGNATORY, Api, problem

pytestmark = pytest.mark.usefixtures("papers_plain")


def test_the_chain_is_whole_over_new_year_and_a_clock_that_ran_ahead_once_fixes_nothing(
    app: Flask, api: Api, database: Engine
) -> None:
    jobs = [UUID(api.worked()["id"]) for _ in range(5)]
    with reading(database) as connection:
        key = connection.execute(select(keys).limit(1)).mappings().one()
    caller = Caller(
        key_id=key["id"], first_key_id=key["id"], firm_id=key["firm_id"], roles=frozenset(), label=SIGNATORY
    )
    moments = [
        datetime(2026, 12, 31, 23, 59, 58, tzinfo=UTC),
        datetime(2027, 1, 1, 0, 0, 1, tzinfo=UTC),
        datetime(2026, 12, 31, 23, 59, 59, tzinfo=UTC),
        datetime(2099, 1, 1, tzinfo=UTC),
        datetime(2027, 1, 1, 0, 0, 2, tzinfo=UTC),
    ]
    numbers = []
    for job_id, moment in zip(jobs, moments, strict=True):
        context = Context(
            database=app.extensions["database"],
            settings=app.extensions["settings"],
            caller=caller,
            now=moment,
        )
        seen = previews.of_job(context, job_id, None).tag
        wanted = Wanted(signed_by=SIGNATORY, parts=None, seen={seen})
        numbers.append(certificates.issue(context, job_id, wanted)["number"])
    assert numbers == [
        f"DEMO-{number}" for number in ("2026-00001", "2027-00001", "2026-00002", "2099-00001", "2027-00002")
    ]
    assert tuple(checks.verify(database).faults) == ()


def test_nothing_is_issued_or_linked_without_a_public_address(
    app: Flask, api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = api.worked()
    settings = app.extensions["settings"]
    monkeypatch.setitem(app.extensions, "settings", replace(settings, public_url=""))
    assert "BAYWRIGHT_PUBLIC_URL is not set" in problem(api.issue(job), 503)["detail"]
    assert api.send("GET", f"/v1/jobs/{job['id']}/certificates").json["items"] == []
    link = api.send("POST", f"/v1/quotes/{job['quote_id']}/links", {"days": 30})
    assert "BAYWRIGHT_PUBLIC_URL is not set" in problem(link, 503)["detail"]
    monkeypatch.setitem(app.extensions, "settings", settings)
    assert api.issue(job).status_code == 201
