"""The API as people call it: a client for each role, and a firm with another one beside it."""

import json
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import urlencode
from uuid import UUID, uuid4

from flask import Flask
from sqlalchemy import Engine, and_
from werkzeug.test import TestResponse

from service.api.firm_files import read_firm
from service.demo.day import Day
from service.store import objects
from service.store.objects import Bucket, Objects
from service.store.session import open_database, writing
from service.store.tables import tasks as table
from service.usecases.base.context import Context
from service.usecases.firm import firms, keys
from service.usecases.keeping import daily_anchors, tasks

DEMO = Path(__file__).parents[1] / "fixtures" / "demo"
NOW = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)
LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)
METRICS_KEY = "a key of the tests' own"
PUBLIC = "https://baywright.example"
SIGNATORY = "A signatory"
ACCEPTED = {"accepted_by": "A client", "how": "by telephone"}
"""What the office says of an acceptance."""
UUID_IN_PATH = re.compile("[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
ROLES = ("sales", "installer", "signatory", "office")
IDLE: dict[tuple[str, Bucket | None], Engine] = {}
"""Engines without connections, none of them in use: what their statements compile to is worth keeping."""
MOST_IDLE = 4


def load_firms(database_url: str) -> None:
    """The demo firm, and another one that works by the same files."""
    with operated(database_url) as database:
        firms.load(database, _firm(), NOW)
        firms.load(database, {**_firm(), "code": "other"}, NOW)


@cache
def _firm() -> Any:
    return read_firm(DEMO)


@contextmanager
def operated(url: str, store: Objects | None = None) -> Iterator[Engine]:
    """A database as its operator sees it: every firm's rows."""
    bucket = store and store.bucket
    database = IDLE.pop((url, bucket), None) or _operated(url, bucket)
    try:
        yield database
    finally:
        database.dispose()
        if len(IDLE) >= MOST_IDLE:
            IDLE.clear()
        IDLE[url, bucket] = database


def _operated(url: str, bucket: Bucket | None) -> Engine:
    return open_database(url, operator=True, objects=bucket and Objects(bucket))


@contextmanager
def operator_of(app: Flask) -> Iterator[Engine]:
    """The database of `app` as its operator sees it."""
    settings = app.extensions["settings"]
    with operated(settings.operator_url, objects.opened(settings)) as database:
        yield database


def work_off(
    app: Flask, *, later: timedelta = timedelta(), most: int | None = None, kinds: Sequence[str] = ()
) -> int:
    """Do what a worker would, in this process, until nothing is due; returns how many attempts it took.

    What was put off is due `later`; no more than `most` are done, of these `kinds` or of all.
    """
    context = Context(
        database=app.extensions["database"],
        settings=app.extensions["settings"],
        caller=None,
        now=datetime.now(UTC),
    )
    attempts = 0
    with operator_of(app) as database:
        while attempts != most and (
            task := tasks.claimed(database, tuple(kinds or tasks.KINDS), datetime.now(UTC) + later)
        ):
            error = tasks.performed(context, task)
            tasks.settled(database, task, error, now=datetime.now(UTC) + later, seconds=1)
            attempts += 1
    return attempts


def make(app: Flask, path: str) -> None:
    """Have the document made that is awaited at an address, and nobody else's before it."""
    named = UUID_IN_PATH.search(path)
    if named is None or not path.endswith("/document"):
        work_off(app)
        return
    documents = tasks.kinds_of("documents")
    mine = and_(
        table.c.subject_id == UUID(named.group()),
        table.c.due_at <= datetime.now(UTC),
        table.c.kind.in_(documents),
    )
    with operator_of(app) as database, writing(database) as connection:
        # The one that is due for longest is the next.
        awaited = connection.execute(table.update().where(mine).values(due_at=LONG_AGO)).rowcount
    # Another than is named: a sheet may be of a step of a supplement.
    work_off(app, most=awaited or None, kinds=documents)


@cache
def building() -> Any:
    """The demo building as it is posted."""
    return json.loads((DEMO / "building.json").read_text(encoding="utf-8"))


def small_building(**changes: Any) -> dict[str, Any]:
    """A quote's body with two cavities: a deep shared wall and an open attic."""
    cavities = {cavity["label"]: cavity for cavity in building()["cavities"]}
    wall = next(c for c in cavities.values() if len(c["layers"]) == 3)
    attic = next(c for c in cavities.values() if c["element"] == "attic")
    return {**building(), "cavities": [wall, attic], **changes}


class Api:
    """Calls with a key that is made for the role when it is first needed."""

    def __init__(self, app: Flask, firm: str = "demo") -> None:
        self.app, self.firm = app, firm
        self.client = app.test_client()
        self.keys: dict[str, str] = {}

    def key(self, *roles: str) -> str:
        """A key of this firm with these roles; who signs by it is called as he signs."""
        name = "+".join(roles)
        if name not in self.keys:
            with operator_of(self.app) as database:
                self.keys[name] = keys.add(
                    database,
                    firm_code=self.firm,
                    roles=list(roles),
                    label=SIGNATORY if "signatory" in roles else name,
                    now=NOW,
                )
        return self.keys[name]

    def send(
        self, method: str, path: str, body: Any = None, *, role: str = "office", **headers: str
    ) -> TestResponse:
        """A request by somebody with `role`; header names have underscores for hyphens.

        Whoever asks for a document waits for it, as anybody would.
        """
        sent = {"Authorization": f"Bearer {self.key(role)}"}
        sent |= {name.replace("_", "-"): value for name, value in headers.items()}
        answer = self.client.open(path, method=method, json=body, headers=sent)
        if answer.status_code != 202:
            return answer
        make(self.app, path)
        return self.client.open(path, method=method, json=body, headers=sent)

    def wait(self, *, later: timedelta = timedelta()) -> int:
        """Until a worker has done all that is to be done by then; returns how many attempts it took."""
        return work_off(self.app, later=later)

    def anchored(self) -> str:
        """The day of an anchor of each firm, which a worker makes today."""
        now = datetime.now(UTC)
        with operator_of(self.app) as database:
            daily_anchors.queue(database, now)
        self.wait()
        return now.date().isoformat()

    def quote(self, body: Any = None) -> Any:
        """A draft quote with its working."""
        answer = self.send("POST", "/v1/quotes", body or small_building(), role="sales")
        assert answer.status_code == 201, answer.text
        return self.send("GET", f"/v1/quotes/{answer.json['id']}/working", role="sales").json

    def job(self, body: Any = None, option: str | None = None) -> Any:
        """A job with its working: a quote drafted, offered and accepted, or one of its options."""
        path = f"/v1/quotes/{self.quote(body)['id']}"
        accepted = {**ACCEPTED, **({"option": option} if option else {})}
        for step, said in (("offer", None), ("acceptance", accepted)):
            answer = self.send("POST", f"{path}/{step}", said, role="sales")
            assert answer.status_code in (200, 201), answer.text
        return self.send("GET", f"/v1/jobs/{answer.json['job_id']}/working", role="installer").json

    def record(self, job: Any, entries: list[Any]) -> TestResponse:
        """A batch of site entries."""
        path = f"/v1/jobs/{job['id']}/entries"
        return self.send("POST", path, {"entries": entries}, role="installer", Idempotency_Key=str(uuid4()))

    def worked(self, body: Any = None) -> Any:
        """A job whose crew has done everything."""
        job = self.job(body)
        for batch in day_of(job):
            answer = self.record(job, batch)
            assert answer.status_code == 201, answer.text
        return job

    def preview(self, job: Any, *cavities: str, **headers: str) -> TestResponse:
        """What a certificate for these parts, or for all, would say."""
        path = f"/v1/jobs/{job['id']}/certificates/preview"
        query = urlencode([("cavities", label) for label in cavities])
        return self.send("GET", f"{path}?{query}" if query else path, role="signatory", **headers)

    def issue(self, job: Any, *cavities: str, seen: str | None = None) -> TestResponse:
        """A certificate for these parts, or for all, by the preview of now or another; or why not."""
        path = f"/v1/jobs/{job['id']}/certificates"
        body = {"signed_by": SIGNATORY, **({"cavities": list(cavities)} if cavities else {})}
        tag = seen or self.preview(job, *cavities).headers.get("ETag", '"none"')
        headers = {"If_Match": tag, "Idempotency_Key": str(uuid4())}
        return self.send("POST", path, body, role="signatory", **headers)


def problem(answer: TestResponse, status: int) -> dict[str, Any]:
    """The body of a problem, checked for its shape."""
    assert answer.status_code == status, answer.text
    assert answer.content_type == "application/problem+json"
    body = answer.json
    assert body["status"] == status
    assert {"type", "title", "detail", "instance"} <= body.keys()
    assert answer.headers["X-Request-Id"] in body["instance"]
    return body


def day_of(job: Any) -> list[list[Any]]:
    """The batches that a careful crew would post for a job."""
    day = Day(job, NOW)
    cavities = zip(job["cavities"], job["takeoff"]["cavities"], strict=True)
    return [day.before(), *(day.cavity(*cavity) for cavity in cavities), day.after()]
