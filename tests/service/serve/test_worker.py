"""The worker: does what is due, ends after what it has begun, and can die at any moment."""

import os
import signal
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from multiprocessing import get_context
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from flask import Flask
from sqlalchemy import Engine

from service.documents.papers import quote as paper
from service.serve import worker
from service.settings import Settings
from service.store import files, objects, seals
from service.store.contents import content_of
from service.store.session import open_database, reading
from service.usecases.keeping import sweeping, tasks
from tests.api import Api
from tests.objects import ObjectStore
from tests.receiver import HERE, Receiver, hangs, receiving, trusted

FORK = get_context("fork")
DIES_WITHIN_S = 30


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database is enough: the other one's claims are tried in the store."""
    return sqlite_url


@pytest.fixture(autouse=True)
def _signals_as_they_were() -> Iterator[None]:
    before = {each: signal.getsignal(each) for each in (signal.SIGINT, signal.SIGTERM)}
    yield
    for each, handler in before.items():
        signal.signal(each, handler)


@pytest.fixture
def _short_leases(monkeypatch: pytest.MonkeyPatch) -> None:
    """For those who wait until what died may be begun again."""
    monkeypatch.setattr(tasks, "LEASE", timedelta(seconds=3))


@pytest.fixture
def offered(api: Api) -> UUID:
    """A quote whose document is due."""
    api.wait()
    quote = api.quote()
    assert api.send("POST", f"/v1/quotes/{quote['id']}/offer").status_code == 200
    return UUID(quote["id"])


def stored(app: Flask, quote_id: UUID) -> tuple[bytes | None, list[str]]:
    """The document of a quote, and what was sealed of it."""
    with _opened(app) as database, reading(database) as connection:
        file = files.of(connection, kind="quote", owner_id=quote_id)
        sealed = [row["kind"] for row in seals.of_quote(connection, quote_id)]
        return content_of(database, file) if file else None, sealed


def is_alive(pid: str) -> bool:
    """Whether a process does anything; one that ended may wait for somebody to look at how."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False


class _opened:  # noqa: N801 - a context
    def __init__(self, app: Flask) -> None:
        settings = app.extensions["settings"]
        self.database: Engine = open_database(settings.database_url, objects=objects.opened(settings))

    def __enter__(self) -> Engine:
        return self.database

    def __exit__(self, *_: Any) -> None:
        self.database.dispose()


def printed(monkeypatch: pytest.MonkeyPatch, act: Callable[[], object]) -> None:
    """Let the quotation be printed in a moment, and something happen meanwhile."""

    def pdf(_facts: Any) -> bytes:
        act()
        return f"%PDF by {os.getpid()}".encode()

    monkeypatch.setattr(paper, "pdf", pdf)


@pytest.mark.also_outside
def test_it_does_what_is_due_and_ends_after_what_it_has_begun(
    app: Flask, api: Api, settings: Settings, offered: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    worker_pid = os.getpid()
    printed(monkeypatch, lambda: os.kill(worker_pid, signal.SIGTERM))
    worker.work(settings)
    content, sealed = stored(app, offered)
    assert content is not None
    assert content != f"%PDF by {worker_pid}".encode()
    assert sealed == ["offer", "quote_file"]
    figures = api.client.get("/metrics", headers={"Authorization": f"Bearer {settings.metrics_key}"}).text
    assert 'baywright_tasks_waiting{kind="quote"} 0.0' in figures
    assert 'baywright_tasks_done_total{kind="quote"}' in figures


def test_it_ends_when_the_server_that_started_it_is_gone(settings: Settings) -> None:
    worker.work(settings, parent=1_000_000_000)


def _killed_at_work(settings: Settings, begun: Path) -> None:
    process = FORK.Process(target=worker.work, args=(settings,))
    process.start()
    deadline = time.monotonic() + DIES_WITHIN_S
    while not begun.exists():
        assert time.monotonic() < deadline
        assert process.is_alive()
        time.sleep(0.02)
    process.kill()
    process.join()


def _works_until_nothing_is_due(settings: Settings) -> None:
    """Once the lease of what was claimed is over."""
    database = open_database(settings.database_url, operator=True)
    left = worker.Worker(settings, database)
    deadline = time.monotonic() + DIES_WITHIN_S
    while any(each.waiting for each in tasks.figures(database, datetime.now(UTC))):
        assert time.monotonic() < deadline
        left._look()
        left._rest()
    database.dispose()


@pytest.mark.usefixtures("_short_leases")
@pytest.mark.also_outside
def test_killed_while_it_makes_a_document_another_makes_it_once(
    app: Flask, settings: Settings, offered: UUID, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, pids = tmp_path / "begun", tmp_path / "pids"
    pids.touch()

    def stalls() -> None:
        pids.write_text(f"{pids.read_text()}{os.getpid()}\n")
        if not begun.exists():
            begun.touch()
            time.sleep(DIES_WITHIN_S)

    app.extensions["database"].dispose()
    printed(monkeypatch, stalls)
    _killed_at_work(settings, begun)
    assert stored(app, offered)[0] is None
    _works_until_nothing_is_due(settings)
    first, second = pids.read_text().split()
    content, sealed = stored(app, offered)
    assert content == f"%PDF by {second}".encode()
    assert sealed == ["offer", "quote_file"]
    # What it had begun died with it.
    deadline = time.monotonic() + DIES_WITHIN_S
    while is_alive(first):
        assert time.monotonic() < deadline
        time.sleep(0.02)


@pytest.mark.usefixtures("_short_leases")
@pytest.mark.also_outside
def test_killed_when_the_document_is_stored_it_is_there_once(
    app: Flask, settings: Settings, offered: UUID, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, settled = tmp_path / "begun", tasks.settled

    def dies(*_: Any, **__: Any) -> None:
        begun.touch()
        time.sleep(DIES_WITHIN_S)

    app.extensions["database"].dispose()
    printed(monkeypatch, lambda: None)
    monkeypatch.setattr(tasks, "settled", dies)
    _killed_at_work(settings, begun)
    content, _ = stored(app, offered)
    assert content is not None
    monkeypatch.setattr(tasks, "settled", settled)
    _works_until_nothing_is_due(settings)
    assert stored(app, offered) == (content, ["offer", "quote_file"])


@pytest.mark.usefixtures("_short_leases")
@pytest.mark.parametrize("object_store", ["outside"], indirect=True)
def test_killed_when_the_object_is_put_and_not_named_another_makes_it_and_it_is_swept(
    app: Flask,
    settings: Settings,
    offered: UUID,
    object_store: ObjectStore,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    begun = tmp_path / "begun"

    def dies(*_: Any, **__: Any) -> None:
        begun.touch()
        time.sleep(DIES_WITHIN_S)

    def held() -> list[str]:
        return [key for key in object_store.held() if str(offered) in key]

    app.extensions["database"].dispose()
    printed(monkeypatch, lambda: None)
    with monkeypatch.context() as patch:
        patch.setattr(files, "attach", dies)
        _killed_at_work(settings, begun)
    (unnamed,) = held()
    assert stored(app, offered) == (None, ["offer"])
    _works_until_nothing_is_due(settings)
    content, sealed = stored(app, offered)
    assert content is not None
    assert sealed == ["offer", "quote_file"]
    assert len(held()) == 2
    with _opened(app) as database:
        sweeping.sweep_objects(database, datetime.now(UTC) + timedelta(days=2))
    assert unnamed not in held()
    assert len(held()) == 1
    assert stored(app, offered) == (content, sealed)


def test_the_anchors_of_the_day_are_made_by_the_worker_itself(api: Api, settings: Settings) -> None:
    """By the first one that looks; the others find them made, or being made."""
    for _ in range(2):
        database = open_database(settings.database_url, operator=True)
        looking = worker.Worker(settings, database)
        looking._look()
        while looking.lanes:
            looking._rest()
            looking._look()
        database.dispose()
    (kept,) = api.send("GET", "/v1/anchors").json["items"]
    assert kept["day"] == datetime.now(UTC).date().isoformat()
    assert kept["notes"] > 0


def subscribed(api: Api, code: str, receiver: Receiver) -> None:
    """Let a receiver be told of offers."""
    body = {"url": receiver.url, "events": ["quote.offered"]}
    assert api.send("PUT", f"/v1/subscriptions/{code}", body, Idempotency_Key=code).status_code == 200


def test_a_receiver_that_hangs_holds_up_neither_documents_nor_other_receivers(
    app: Flask, api: Api, settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", trusted(tmp_path))
    printed(monkeypatch, lambda: None)
    with receiving(tmp_path, hangs) as hanging, receiving(tmp_path) as well:
        subscribed(api, "hanging", hanging)
        subscribed(api, "well", well)
        api.wait()
        quote = api.quote()
        assert api.send("POST", f"/v1/quotes/{quote['id']}/offer").status_code == 200
        app.extensions["database"].dispose()
        database = open_database(settings.database_url, operator=True)
        at_work = worker.Worker(replace(settings, deliver_to=HERE), database)
        deadline = time.monotonic() + DIES_WITHIN_S
        # Everything else is done, and only the one that hangs is still hung on to.
        while not (stored(app, UUID(quote["id"]))[0] and well.received and len(at_work.lanes) == 1):
            assert time.monotonic() < deadline
            at_work._look()
            at_work._rest()
        (((lane, _), left),) = at_work.lanes.items()
        assert (lane, left.limit_s) == ("deliveries", tasks.DELIVERY_LIMIT_S)
        hanging.over.set()
        at_work.stop()
        at_work.run()
        database.dispose()
    shown = api.send("GET", "/v1/subscriptions/hanging").json
    assert (shown["waiting"], shown["error"]["code"]) == (1, "deliveries.not_reached")
