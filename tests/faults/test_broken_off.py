"""A write that is broken off at any of its statements leaves nothing: each is one transaction."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import BytesIO
from itertools import count
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from PIL import Image
from sqlalchemy import Connection, Engine, event, select, text

from service.store import tables
from service.store.session import reading
from tests.api import ACCEPTED, SIGNATORY, Api, small_building

pytestmark = pytest.mark.usefixtures("papers_plain")

# More than anybody would store bit by bit.
LARGE_BATCH = 300
STOCK = {
    "kind": "reclaimed",
    "id": "0197f000-0000-7000-8000-000000000001",
    "happened_at": "2026-11-25T08:00:00Z",
    "by": "Crew 1",
    "mass_kg": 0,
}
# The time when a key was used last is noted beside whatever is asked for.
LEFT_ALONE = {tables.keys}
ALL_OF = {
    table: text(str(select(table).order_by(*table.primary_key))) for table in tables.metadata.sorted_tables
}


def _offered(api: Api) -> str:
    path = f"/v1/quotes/{api.quote()['id']}"
    assert api.send("POST", f"{path}/offer").status_code == 200
    return path


def _certified(api: Api) -> str:
    return f"/v1/certificates/{api.issue(api.worked()).json['id']}"


def _concession(job: Any) -> dict[str, Any]:
    return {
        "path": f"/v1/jobs/{job['id']}/concessions",
        "json": {"condition": "stock_unreconciled", "reason": "A trial", "granted_by": "Office"},
    }


def _to_issue(api: Api, job: Any) -> dict[str, Any]:
    return {
        "path": f"/v1/jobs/{job['id']}/certificates",
        "json": {"signed_by": SIGNATORY},
        "role": "signatory",
        "headers": {"If-Match": api.preview(job).headers["ETag"]},
    }


def _photo() -> bytes:
    content = BytesIO()
    Image.new("RGB", (64, 48), "grey").save(content, "JPEG")
    return content.getvalue()


WRITES: dict[str, Callable[[Api], dict[str, Any]]] = {
    "quote": lambda api: {"path": "/v1/quotes", "json": small_building()},
    "change": lambda api: {
        "method": "PUT",
        "path": f"/v1/quotes/{api.quote()['id']}",
        "json": small_building(travel_km=7),
        "headers": {"If-Match": '"1"'},
    },
    "offer": lambda api: {"path": f"/v1/quotes/{api.quote()['id']}/offer"},
    "acceptance": lambda api: {"path": f"{_offered(api)}/acceptance", "json": ACCEPTED},
    "withdrawal of an offer": lambda api: {"path": f"{_offered(api)}/withdrawal"},
    "link": lambda api: {"path": f"{_offered(api)}/links", "json": {"days": 3}},
    "batch of entries": lambda api: {
        "path": f"/v1/jobs/{api.job()['id']}/entries",
        "json": {"entries": [STOCK] * LARGE_BATCH},
    },
    "photo": lambda api: {
        "method": "PUT",
        "path": f"/v1/jobs/{api.job()['id']}/photos/{uuid4()}",
        "data": _photo(),
        "content_type": "image/jpeg",
    },
    "concession": lambda api: _concession(api.job()),
    "closure": lambda api: {"path": f"/v1/jobs/{api.job()['id']}/closure"},
    "certificate": lambda api: _to_issue(api, api.worked()),
    "withdrawal of a certificate": lambda api: {
        "path": f"{_certified(api)}/withdrawal",
        "json": {"reason": "A trial"},
    },
    "erasure": lambda api: {"path": f"/v1/quotes/{api.quote()['id']}/erasure", "json": {"reason": "A trial"}},
}


class BrokenOff(Exception):
    """What ends a transaction in the middle."""


@contextmanager
def breaking_off(database: Engine, at: int) -> Iterator[None]:
    """Break the writing off in the place of its statement `at`, counted from 1."""
    numbers = count(1)

    def before(connection: Connection, *_statement: Any) -> None:
        options = connection.get_execution_options()
        if options.get("writes") and options["waits"] and next(numbers) == at:
            raise BrokenOff

    event.listen(database, "before_cursor_execute", before)
    try:
        yield
    finally:
        event.remove(database, "before_cursor_execute", before)


def everything(database: Engine) -> dict[str, list[tuple[Any, ...]]]:
    """All rows that there are, as the driver gives them: to read each for what it means takes far longer."""
    with reading(database) as connection:
        return {
            table.name: [tuple(row) for row in connection.execute(ALL_OF[table])]
            for table in tables.metadata.sorted_tables
            if table not in LEFT_ALONE
        }


@pytest.mark.databases_in_turn("what")
@pytest.mark.parametrize("what", WRITES)
def test_a_write_that_is_broken_off_leaves_nothing(app: Flask, api: Api, database: Engine, what: str) -> None:
    request = {"method": "POST", "role": "office", **WRITES[what](api)}
    mark = {"Authorization": f"Bearer {api.key(request.pop('role'))}", "Idempotency-Key": str(uuid4())}
    request["headers"] = {**request.get("headers", {}), **mark}
    before = everything(database)
    for at in count(1):
        with breaking_off(app.extensions["database"], at):
            answer = api.client.open(**request)
        if answer.status_code != 500:
            break
        assert everything(database) == before, f"broken off at statement {at}"
    assert answer.status_code in (200, 201), answer.text
    assert at > 3
    assert everything(database) != before
