"""What is to be done after a change takes the request along that it follows."""

from uuid import uuid4

import pytest
from sqlalchemy import Engine

from service import tracing
from service.settings import Settings
from service.store import tasks
from service.store.session import reading, writing
from service.usecases.base.context import Context
from service.usecases.base.outbox import queue
from service.usecases.firm import firms
from tests.api import NOW


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: `store/test_tasks.py` has both."""
    return sqlite_url


@pytest.mark.parametrize("request_id", ["a-request-of-somebody", None])
def test_a_task_has_the_request_that_it_follows(
    database: Engine, settings: Settings, request_id: str | None
) -> None:
    nobody = Context(database=database, settings=settings, caller=None, now=NOW)
    context, subject = nobody.acting_for(firms.id_of(database, "demo"), "a test"), uuid4()
    tracing.follow(request_id)
    try:
        with writing(database) as connection:
            queue(connection, context, "trial", subject)
    finally:
        tracing.follow(None)
    with reading(database) as connection:
        task = tasks.of(connection, kind="trial", subject_id=subject)
    assert task
    assert (task["request_id"], task["due_at"]) == (request_id, NOW)
