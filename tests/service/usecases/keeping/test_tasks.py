"""What workers do: claimed by one of them, done, put off, given up, revived."""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from sqlalchemy import Engine, delete
from uuid6 import uuid7

from service.engine.ground.messages import message
from service.errors import Conflict, DocumentFailed, Erased, SettingsWrong
from service.settings import Settings
from service.store import tasks as stored
from service.store.row_types import Task
from service.store.session import writing
from service.store.tables import spent
from service.store.tables import tasks as table
from service.usecases.base.context import Context
from service.usecases.firm import firms
from service.usecases.keeping import tasks
from service.usecases.keeping.tasks import KINDS, Kind, claimed, performed, settled
from tests.api import NOW

Handler = Callable[[Context, UUID], object]
PAUSES_S = (5, 60)
SECOND = timedelta(seconds=1)


@pytest.fixture
def context(settings: Settings, database: Engine) -> Context:
    """Nobody's, as workers have it."""
    return Context(database=database, settings=settings, caller=None, now=NOW)


@pytest.fixture(autouse=True)
def _nothing_waits(database: Engine) -> Iterator[None]:
    yield
    with writing(database) as connection:
        connection.execute(delete(table))
        connection.execute(delete(spent))


@pytest.fixture
def handled(monkeypatch: pytest.MonkeyPatch) -> Callable[[Handler], None]:
    """Lets the kind `trial` be done by a handler of the test's."""

    def by(handler: Handler) -> None:
        kind = Kind(handle=handler, lane="trials", pauses_s=PAUSES_S)
        monkeypatch.setattr(tasks, "KINDS", {**KINDS, "trial": kind})

    return by


def added(database: Engine, count: int = 1) -> list[UUID]:
    firm_id, subjects = firms.id_of(database, "demo"), [uuid7() for _ in range(count)]
    with writing(database) as connection:
        for subject in subjects:
            stored.add(connection, firm_id=firm_id, kind="trial", subject_id=subject, now=NOW)
    return subjects


def next_one(database: Engine, later: timedelta = timedelta()) -> Task | None:
    return claimed(database, ("trial",), NOW + later)


def test_a_task_is_done_for_its_firm_and_gone(
    context: Context, database: Engine, handled: Callable[[Handler], None]
) -> None:
    done: list[tuple[UUID, UUID]] = []
    handled(lambda acting, subject: done.append((acting.firm_id, subject)))
    (subject,) = added(database)
    task = next_one(database)
    assert task
    assert performed(context, task) is None
    settled(database, task, None, now=NOW, seconds=1.5)
    assert done == [(firms.id_of(database, "demo"), subject)]
    assert next_one(database, timedelta(days=9)) is None
    (figures,) = tasks.figures(database, NOW)
    assert (figures.waiting, figures.done, figures.failed, figures.seconds) == (0, 1, 0, 1.5)


@pytest.mark.parametrize(
    ("raised", "code"),
    [
        (Conflict(message("quotes.not_known")), "quotes.not_known"),
        (SettingsWrong("The key cannot be read."), "tasks.said"),
        (DocumentFailed("A client's name"), "tasks.failed"),
        (KeyError("A client's name"), "tasks.failed"),
        (MemoryError(), "tasks.out_of_memory"),
    ],
)
def test_what_failed_says_why_and_quotes_nothing(
    context: Context, database: Engine, handled: Callable[[Handler], None], raised: Exception, code: str
) -> None:
    def fails(*_: Any) -> None:
        raise raised

    handled(fails)
    added(database)
    task = next_one(database)
    assert task
    error = performed(context, task)
    assert error
    assert error.code == code
    assert "client" not in str(error.values)


def test_what_was_erased_has_nothing_left_to_be_done(
    context: Context, database: Engine, handled: Callable[[Handler], None]
) -> None:
    def erased(*_: Any) -> None:
        raise Erased("gone")

    handled(erased)
    added(database)
    task = next_one(database)
    assert task
    assert performed(context, task) is None


def test_it_is_tried_after_each_pause_then_given_up_and_revived(
    context: Context, database: Engine, handled: Callable[[Handler], None]
) -> None:
    handled(lambda *_: None)
    added(database)
    wrong, passed = message("tasks.died", status=-9), timedelta()
    for pause_s in (*PAUSES_S, None):
        task = next_one(database, passed)
        assert task
        settled(database, task, wrong, now=NOW + passed, seconds=1)
        if pause_s is not None:
            assert next_one(database, passed + pause_s * SECOND - SECOND) is None
            passed += pause_s * SECOND
    assert next_one(database, timedelta(days=9)) is None
    (dead,) = tasks.given_up(database)
    assert (dead["attempts"], dead["last_error"]["code"]) == (3, "tasks.died")
    (figures,) = tasks.figures(database, NOW)
    assert (figures.waiting, figures.dead, figures.failed) == (0, 1, 3)
    assert tasks.revived(database, NOW) == 1
    assert next_one(database) is not None


def test_a_task_whose_worker_always_dies_is_not_begun_for_ever(
    context: Context, database: Engine, handled: Callable[[Handler], None]
) -> None:
    begun: list[UUID] = []
    handled(lambda _context, subject: begun.append(subject))
    added(database)
    later = timedelta()
    for _ in range(len(PAUSES_S) + 2):
        # Nobody renews and nobody settles.
        task = next_one(database, later)
        assert task
        later += tasks.LEASE
    error = performed(context, task)
    assert error
    assert error.code == "tasks.abandoned"
    settled(database, task, error, now=NOW + later, seconds=0)
    assert len(tasks.given_up(database)) == 1
    assert begun == []


def test_who_renews_keeps_his_task(database: Engine, handled: Callable[[Handler], None]) -> None:
    handled(lambda *_: None)
    added(database)
    task = next_one(database)
    assert task
    tasks.renewed(database, task, NOW + tasks.LEASE - SECOND)
    assert next_one(database, tasks.LEASE + SECOND) is None
    again = next_one(database, 2 * tasks.LEASE)
    assert again
    # The first one comes back too late, and neither ends it nor is counted.
    settled(database, task, None, now=NOW, seconds=1)
    assert tasks.figures(database, NOW)[0].done == 0
    settled(database, again, None, now=NOW, seconds=1)
    assert tasks.figures(database, NOW)[0].done == 1


def test_workers_at_once_never_claim_the_same(database: Engine) -> None:
    wanted = set(added(database, 12))

    def claims(_: int) -> list[UUID]:
        found = []
        while task := next_one(database):
            found.append(task["subject_id"])
        return found

    with ThreadPoolExecutor(4) as pool:
        found = [subject for each in pool.map(claims, range(4)) for subject in each]
    assert len(found) == len(wanted)
    assert set(found) == wanted


def test_every_kind_of_document_has_its_lane() -> None:
    assert set(tasks.kinds_of("documents")) == {"quote", "crew_sheet", "certificate", "supplement"}
    assert set(tasks.kinds_of("documents")) <= set(KINDS)
    assert "documents" in tasks.LANES
