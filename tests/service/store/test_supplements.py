"""Supplements come back in the order they were proposed, with their cavities and steps, and nobody else's."""

from uuid import UUID, uuid4

from uuid6 import uuid7

from service.store import jobs, supplements
from tests.stored import DIGEST, NOW, Site, cavity


def propose(site: Site, serial: int, *labels: str) -> UUID:
    """A supplement with cavities, and its first step."""
    row = {
        **site.owned,
        "id": uuid4(),
        "serial": serial,
        "number": f"J-1-S{serial}",
        "by": "A hand",
        "remark": None,
        "counts": [],
        "dropped": [],
        "lines": [],
        "hold_points": [],
        "summary": {},
        "sent_sha256": DIGEST,
        "proposed_at": NOW,
    }
    owned = {"firm_id": site.firm_id, "job_id": site.job_id, "supplement_id": row["id"]}
    rows = [
        {**cavity(label), "single_line": None, **owned, "position": place, "origin": label}
        for place, label in enumerate(labels)
    ]
    supplements.add(site.connection, row, rows)
    for position, kind in enumerate(("proposal", "offer"), start=1):
        step = {"id": uuid7(), "position": position, "kind": kind, "data": {"n": 1}, "taken_at": NOW}
        supplements.take(site.connection, {**site.owned, "supplement_id": row["id"], **step})
    return row["id"]


def test_a_job_s_supplements_with_cavities_and_steps(site: Site) -> None:
    ids = [propose(site, 1, "A", "B"), propose(site, 2), propose(site, 3, "C")]
    other = Site(site.connection)
    propose(other, 1, "D")
    found = supplements.of_jobs(site.connection, [site.job_id])
    assert [row["id"] for row in found] == ids
    job = jobs.by_id(site.connection, firm_id=site.firm_id, job_id=site.job_id)
    assert job
    assert supplements.of_quote(site.connection, job["quote_id"]) == found
    assert supplements.quotes_with(site.connection, [job["quote_id"], uuid7()]) == {job["quote_id"]}
    cavities = supplements.cavities_of(site.connection, site.job_id)
    assert {(row["supplement_id"], row["label"]) for row in cavities} == {
        (ids[0], "A"),
        (ids[0], "B"),
        (ids[2], "C"),
    }
    steps = supplements.steps_of(site.connection, [site.job_id])
    assert [row["kind"] for row in steps if row["supplement_id"] == ids[1]] == ["proposal", "offer"]
    lines = supplements.lines_of(site.connection, [site.job_id, other.job_id])
    assert sorted(row["label"] for row in lines) == ["A", "B", "C", "D"]
    assert "planned" not in lines[0]


def test_an_id_is_one_s_own_in_its_job_alone(site: Site) -> None:
    first = propose(site, 1)
    other = Site(site.connection)
    assert supplements.of_jobs(other.connection, [other.job_id]) == []
    assert [row["id"] for row in supplements.of_jobs(site.connection, [site.job_id])] == [first]
