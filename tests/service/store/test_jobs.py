"""Jobs are found by id, quote and number, listed newest first, and moved from state to state."""

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest
from sqlalchemy import Engine
from uuid6 import uuid7

from service.errors import Unavailable
from service.store import crews, jobs
from service.store.session import writing
from tests.stored import NOW, TODAY, Site, crew, firm, impatient, job, quote

TOMORROW = TODAY + timedelta(days=1)


def listed(site: Site, **asked: Any) -> list[UUID]:
    asked = {"firm_id": site.firm_id, "limit": 10, "before": None, **asked}
    return [row["id"] for row in jobs.page(site.connection, **asked)]


def assign(site: Site, job_id: UUID, crew_id: UUID, day: date) -> None:
    row = {**site.owned, "id": uuid7(), "job_id": job_id, "days": [], "assigned_at": NOW}
    crews.assign(site.connection, row, [(day, crew_id)])


def test_a_job_is_found_by_its_firm_alone(site: Site) -> None:
    quote_id = quote(site.connection, site.firm_id)
    job_id = job(site.connection, site.firm_id, quote_id=quote_id, number="J-1")
    other = firm(site.connection)
    twin = job(site.connection, other, number="J-1")
    found = jobs.by_id(site.connection, firm_id=site.firm_id, job_id=job_id)
    assert found
    assert found["number"] == "J-1"
    assert jobs.by_id(site.connection, firm_id=other, job_id=job_id) is None
    assert jobs.of_quote(site.connection, quote_id) == found
    assert jobs.by_number(site.connection, firm_id=site.firm_id, number="J-1") == found
    named = jobs.by_number(site.connection, firm_id=other, number="J-1")
    assert named
    assert named["id"] == twin


def test_a_page_is_newest_first_and_goes_on_where_it_ended(site: Site) -> None:
    newer = [site.job_id, *(job(site.connection, site.firm_id) for _ in range(3))][::-1]
    job(site.connection, firm(site.connection))
    assert listed(site) == newer
    assert listed(site, limit=2) == newer[:2]
    assert listed(site, limit=2, before=newer[1]) == newer[2:]
    assert listed(site, before=newer[-1]) == []


def test_a_page_is_of_a_crew_on_days_in_a_state(site: Site) -> None:
    north, south = (crew(site.connection, site.firm_id, name) for name in ("North", "South"))
    today, tomorrow = job(site.connection, site.firm_id), job(site.connection, site.firm_id)
    assign(site, today, north, TODAY)
    assign(site, tomorrow, south, TOMORROW)
    jobs.set_state(site.connection, tomorrow, "certified")
    assert listed(site, crew=north) == [today]
    assert listed(site, since=TODAY, until=TODAY) == [today]
    assert listed(site, since=TOMORROW) == [tomorrow]
    assert listed(site, until=TOMORROW) == [tomorrow, today]
    assert listed(site, crew=north, since=TOMORROW) == []
    assert listed(site, state="certified") == [tomorrow]
    assert listed(site, state="closed") == []


def test_a_state_says_since_when_the_ledger_moved_on(site: Site) -> None:
    jobs.set_state(site.connection, site.job_id, "certified", moved_on_at=NOW)
    found = jobs.by_id(site.connection, firm_id=site.firm_id, job_id=site.job_id, lock=True)
    assert found
    assert (found["state"], found["moved_on_at"]) == ("certified", NOW)
    jobs.set_state(site.connection, site.job_id, "closed")
    closed = jobs.by_id(site.connection, firm_id=site.firm_id, job_id=site.job_id)
    assert closed
    assert (closed["state"], closed["moved_on_at"]) == ("closed", None)


def test_a_job_that_is_held_is_waited_for(database: Engine) -> None:
    with writing(database) as connection:
        site = Site(connection)
    with writing(database) as first:
        jobs.by_id(first, firm_id=site.firm_id, job_id=site.job_id, lock=True)
        with pytest.raises(Unavailable), impatient(database) as second:
            jobs.by_id(second, firm_id=site.firm_id, job_id=site.job_id, lock=True)
