"""A job's concessions come back as they were granted, oldest first, and nobody else's."""

from uuid import UUID

from uuid6 import uuid7

from service.store import concessions
from tests.stored import NOW, Site


def grant(site: Site, reason: str) -> UUID:
    row = {
        **site.owned,
        "id": uuid7(),
        "condition": "stock_unreconciled",
        "cavity": None,
        "subjects": ["S 1", "ä"],
        "reason": reason,
        "granted_by": "Office",
        "granted_at": NOW,
    }
    concessions.add(site.connection, row)
    return row["id"]


def test_a_jobs_concessions_oldest_first(site: Site) -> None:
    granted = [grant(site, reason) for reason in ("One", "Two", "Three")]
    other = Site(site.connection)
    grant(other, "Another job's")
    found = concessions.of_job(site.connection, site.job_id)
    assert [row["id"] for row in found] == granted
    assert [row["reason"] for row in found] == ["One", "Two", "Three"]
    assert found[0]["subjects"] == ["S 1", "ä"]
    assert found[0]["granted_at"] == NOW
