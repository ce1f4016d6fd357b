"""What was erased goes from the object store too: later, for certain, and for all to see until then."""

from dataclasses import replace
from datetime import timedelta
from uuid import UUID

import pytest

from service.errors import Conflict
from service.store import quotes
from service.store.session import reading
from service.usecases.base.context import Context
from service.usecases.keeping import erased_objects, tasks
from service.usecases.work.erasures import OBJECTS
from tests.api import NOW, work_off
from tests.kept import Kept
from tests.refusals import refused

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("papers_plain")]

A_DAY = timedelta(days=1)


def closed(kept: Kept) -> None:
    path = f"/v1/jobs/{kept.job['id']}/closure"
    answer = kept.api.send("POST", path)
    assert answer.status_code == 200, answer.text


def erased(kept: Kept) -> None:
    """The job's client, as his letter asked for it."""
    closed(kept)
    path = f"/v1/quotes/{kept.job['quote_id']}/erasure"
    assert kept.api.send("POST", path, {"reason": "By letter."}, Idempotency_Key=path).status_code == 200


def own(kept: Kept) -> list[str]:
    """The objects of the job and its quote."""
    return [key for key in kept.store.held() if kept.job["id"] in key or kept.job["quote_id"] in key]


def waiting(kept: Kept) -> int:
    found = tasks.figures(kept.database, NOW)
    return sum(each.waiting for each in found if each.kind == OBJECTS)


def test_an_erasure_deletes_the_objects_after_it_and_all_that_was_put_beside_them(kept: Kept) -> None:
    others = set(kept.store.held()) - set(own(kept))
    # Put by somebody whose transaction never came.
    orphan = f"{own(kept)[0]}2"
    kept.store.opened().put(orphan, b"never named")
    erased(kept)
    # Nobody is given anything from the commit on, and what is about to be done is no fault.
    assert [status for status, _ in kept.read()] == [410, 410, 410]
    assert len(own(kept)) == 4
    assert waiting(kept) == 1
    assert kept.faults() == []
    work_off(kept.api.app, kinds=[OBJECTS])
    assert own(kept) == []
    assert set(kept.store.held()) == others
    assert waiting(kept) == 0
    assert kept.faults() == []
    assert [status for status, _ in kept.read()] == [410, 410, 410]


def test_while_the_store_is_away_it_is_tried_again_and_an_end_without_success_is_a_fault(
    kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    seldom = replace(tasks.KINDS[OBJECTS], pauses_s=(60, 60))
    monkeypatch.setattr(tasks, "KINDS", {**tasks.KINDS, OBJECTS: seldom})
    kept.store.stop()
    # What is stored in the database needs no store; what was erased is not asked for there.
    erased(kept)
    assert [status for status, _ in kept.read()] == [410, 410, 410]
    assert work_off(kept.api.app, kinds=[OBJECTS]) == 1
    kept.store.start()
    assert len(own(kept)) == 3
    assert waiting(kept) == 1
    assert kept.faults() == []
    later, again = timedelta(days=400), len(tasks.KINDS[OBJECTS].pauses_s)
    kept.store.stop()
    for _ in range(again):
        work_off(kept.api.app, kinds=[OBJECTS], later=later, most=1)
        later += A_DAY
    kept.store.start()
    assert [each["kind"] for each in tasks.given_up(kept.database)] == [OBJECTS]
    assert len([each for each in kept.faults() if "still in the object store" in each]) == 3
    tasks.revived(kept.database, NOW)
    work_off(kept.api.app, kinds=[OBJECTS])
    assert own(kept) == []
    assert kept.faults() == []


def test_nothing_is_deleted_of_what_was_not_erased(kept: Kept) -> None:
    context = Context(
        database=kept.database, settings=kept.api.app.extensions["settings"], caller=None, now=NOW
    )
    quote_id = UUID(kept.job["quote_id"])
    with reading(kept.database) as connection:
        firm = next(UUID(firm) for quote, firm in quotes.every(connection) if UUID(quote) == quote_id)
    with refused(Conflict, "nothing erased"):
        erased_objects.delete(context.acting_for(firm, "worker"), quote_id)
    assert len(own(kept)) == 3
