"""A process dies around its commit, and the request that is sent again has the first answer."""

import os
import signal
import time
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy import Engine, func, select

from service.store import tables
from service.store.session import reading
from tests.api import ACCEPTED
from tests.faults.client import Client, Sent
from tests.faults.conftest import Running
from tests.faults.dying import BEFORE_COMMIT, MOMENTS
from tests.faults.stories import BODIES, Stories, small

Send = Callable[..., Sent]


def _made(client: Client, reference: str, *steps: str) -> Any:
    """A quote taken so far, then read."""
    made = client.write("quote", "POST", "/v1/quotes", small(reference), role="sales")
    assert made.answer is not None
    path = f"/v1/quotes/{made.answer.json['id']}"
    for step in steps:
        client.write(step, "POST", f"{path}/{step}", BODIES.get(step), role="sales")
    return client.read(path, "sales").json


def _worked(client: Client, reference: str) -> Any:
    """A job whose crew has done everything."""
    quote = _made(client, reference, "offer", "acceptance")
    job = client.read(f"/v1/jobs/{quote['job_id']}/working", "crew").json
    Stories(client, reference).work(job, reference)
    return job


def quote(client: Client, reference: str) -> dict[str, Any]:
    """A building that is posted."""
    return {"path": "/v1/quotes", "body": small(reference), "role": "sales"}


def offer(client: Client, reference: str) -> dict[str, Any]:
    """A draft that is offered."""
    return {"path": f"/v1/quotes/{_made(client, reference)['id']}/offer", "role": "sales"}


def acceptance(client: Client, reference: str) -> dict[str, Any]:
    """An offer that is accepted."""
    path = f"/v1/quotes/{_made(client, reference, 'offer')['id']}/acceptance"
    return {"path": path, "body": ACCEPTED, "role": "sales"}


def entries(client: Client, reference: str) -> dict[str, Any]:
    """A batch of entries that is recorded."""
    job_id = _made(client, reference, "offer", "acceptance")["job_id"]
    entry = {"kind": "reclaimed", "happened_at": "2026-11-25T10:00:00Z", "by": reference}
    batch = [{**entry, "id": str(uuid4()), "mass_kg": number} for number in range(3)]
    return {"path": f"/v1/jobs/{job_id}/entries", "body": {"entries": batch}, "role": "crew"}


def certificate(client: Client, reference: str) -> dict[str, Any]:
    """A certificate that is issued."""
    path = f"/v1/jobs/{_worked(client, reference)['id']}/certificates"
    tag = client.read(f"{path}/preview", "crew").tag
    return {"path": path, "body": {"signed_by": "crew"}, "role": "crew", "If_Match": tag}


COUNTED = {
    quote: tables.quotes,
    offer: tables.quotes,
    acceptance: tables.jobs,
    entries: tables.entries,
    certificate: tables.certificates,
}


@pytest.mark.parametrize("moment", MOMENTS)
@pytest.mark.parametrize("prepare", COUNTED, ids=lambda prepare: prepare.__name__)
def test_a_request_whose_process_died_is_answered_once(
    running: Running, database: Engine, prepare: Callable[..., dict[str, Any]], moment: str
) -> None:
    client, reference = running.client, f"{prepare.__name__} {moment}"
    to_send = prepare(client, reference)
    before = _count(database, prepare)
    running.mark.write_text(moment, encoding="utf-8")
    broken = client.write(reference, "POST", **to_send, insists=False)
    assert broken.answer is None
    assert not running.mark.exists(), "nobody died"
    kept = _kept(database, broken.key)
    assert (kept is None) == (moment == BEFORE_COMMIT)
    answer = client.settled(broken)
    assert answer.status in (200, 201), answer
    if kept is not None:
        assert (answer.status, answer.body) == (kept["status"], kept["body"].encode())
    assert client.settled(broken) == answer
    added = {offer: 0, entries: 3}.get(prepare, 1)
    assert _count(database, prepare) == before + added
    if prepare in (offer, certificate):
        folder = "quotes" if prepare is offer else "certificates"
        file = client.read(f"/v1/{folder}/{answer.json['id']}/document", "office")
        assert file.body.startswith(b"%PDF-")
    assert client.told.faults == []


def _count(database: Engine, prepare: Callable[..., Any]) -> int:
    with reading(database) as connection:
        return connection.execute(select(func.count()).select_from(COUNTED[prepare])).scalar_one()


def _kept(database: Engine, key: str | None) -> Any:
    with reading(database) as connection:
        kept = select(tables.answers.c.answer).where(tables.answers.c.idempotency_key == key)
        return connection.execute(kept).scalar_one_or_none()


def test_a_worker_that_is_replaced_takes_nothing_with_it(running: Running) -> None:
    """Its leaving in peace, as after many requests, must not disturb those that stay."""
    first = running.server.worker_pids()
    os.kill(first[0], signal.SIGTERM)
    deadline = time.monotonic() + 30
    while set(first) <= set(running.server.worker_pids()) or len(running.server.worker_pids()) < len(first):
        assert time.monotonic() < deadline
        time.sleep(0.05)
    for number in range(12):
        assert running.client.read("/v1/quotes", "sales").status == 200
        assert running.client.read(f"/v1/nothing/{number}", "sales").status == 404
    assert "baywright_requests_total" in running.server.figures()
    assert "Traceback" not in running.server.log.read_text(encoding="utf-8")
