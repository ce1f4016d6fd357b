"""A file is made once, outside any transaction, and never after its client was erased."""

from dataclasses import replace
from typing import Any
from uuid import UUID, uuid4

import pytest
from sqlalchemy import Engine, delete

from service.documents.wording.sentences import in_words
from service.engine.ground.messages import message
from service.errors import Erased, GivenUp
from service.store import clients, seals
from service.store import tasks as stored_tasks
from service.store.contents import content_of
from service.store.session import reading, writing
from service.store.tables import tasks as table
from service.usecases.base.context import Context
from service.usecases.base.json import to_json
from service.usecases.keeping import tasks
from service.usecases.work import rendering
from service.usecases.work.rendering import asked_for, made_once
from tests import stored
from tests.api import NOW

pytestmark = pytest.mark.also_outside


@pytest.fixture
def quote_id(context: Context, database: Engine) -> UUID:
    """A quote of the firm's, and nothing that waits."""
    with writing(database) as connection:
        connection.execute(delete(table))
        return stored.quote(connection, context.firm_id)


def made(context: Context, quote_id: UUID, make: Any) -> bytes:
    file = made_once(context, "quote", quote_id, make, client_of=quote_id)
    return content_of(context.database, file) or b""


def test_a_file_is_made_once_sealed_and_stays(context: Context, database: Engine, quote_id: UUID) -> None:
    times: list[bytes] = []

    def make() -> bytes:
        times.append(f"file {len(times)}".encode())
        return times[-1]

    assert [made(context, quote_id, make) for _ in range(3)] == [b"file 0"] * 3
    assert len(times) == 1
    with reading(database) as connection:
        assert [row["kind"] for row in seals.of_quote(connection, quote_id)] == ["quote_file"]


def test_whoever_attaches_first_is_right(context: Context, quote_id: UUID) -> None:
    """Another makes the same file while this one is being made."""

    def make() -> bytes:
        made(context, quote_id, lambda: b"faster")
        return b"slower"

    assert made(context, quote_id, make) == b"faster"


def test_an_erasure_that_was_faster_is_kept_to(context: Context, database: Engine, quote_id: UUID) -> None:
    def make() -> bytes:
        with writing(database) as connection:
            key_id = stored.key(connection, context.firm_id)
            clients.erase(connection, quote_id, reason="Asked for", key_id=key_id, now=NOW)
        return b"too late"

    for _ in range(2):
        with pytest.raises(Erased):
            made(context, quote_id, make)


def test_what_is_asked_for_is_queued_once_and_says_how_far_it_is(
    context: Context, database: Engine, quote_id: UUID
) -> None:
    def asked() -> Any:
        return asked_for(context, "quote", quote_id, client_of=quote_id)

    def states() -> tuple[str, int, int]:
        found = asked()
        return found.state, found.attempts, found.retry_after_s

    assert [states(), states()] == [("queued", 0, 1)] * 2
    task = tasks.claimed(database, ("quote",), context.now)
    assert task
    assert states() == ("being_made", 1, 1)
    tasks.settled(database, task, message("tasks.died", status=-9), now=context.now, seconds=1)
    assert states() == ("failed", 1, 5)
    assert asked().error == message("tasks.died", status=-9)
    made(context, quote_id, lambda: b"there")
    assert bytes(asked()["content"]) == b"there"


def test_what_was_given_up_says_so(context: Context, database: Engine, quote_id: UUID) -> None:
    asked_for(context, "quote", quote_id, client_of=quote_id)
    task = tasks.claimed(database, ("quote",), context.now)
    assert task
    with writing(database) as connection:
        died = to_json(message("tasks.died", status=-9))
        stored_tasks.put_off(connection, task, until=context.now, error=died, dead=True)
    with pytest.raises(GivenUp) as given_up:
        asked_for(context, "quote", quote_id, client_of=quote_id)
    assert in_words(given_up.value.detail).startswith("It was tried 1 times")  # type: ignore[arg-type]
    assert tasks.revived(database, context.now) == 1
    assert asked_for(context, "quote", quote_id, client_of=quote_id).state == "queued"  # type: ignore[union-attr]


def test_nothing_is_queued_for_a_client_whose_data_was_erased(
    context: Context, database: Engine, quote_id: UUID
) -> None:
    with writing(database) as connection:
        key_id = stored.key(connection, context.firm_id)
        clients.erase(connection, quote_id, reason="Asked for", key_id=key_id, now=NOW)
    with pytest.raises(Erased):
        asked_for(context, "quote", quote_id, client_of=quote_id)
    assert tasks.claimed(database, ("quote",), context.now) is None


def test_the_stored_file_is_found_in_one_look_and_by_its_firm_alone(
    context: Context, database: Engine, quote_id: UUID
) -> None:
    def look(asking: Context) -> Any:
        return rendering.stored(asking, "quote", quote_id, client_of=quote_id)

    assert look(context) is None
    made(context, quote_id, lambda: b"there")
    found = look(context)
    assert bytes(found["content"]) == b"there"
    # Who has it already is not read it again; who has another one is.
    assert look(replace(context, has=found["sha256"]))["content"] is None
    assert look(replace(context, has="0" * 64))["content"] is not None
    assert look(context.acting_for(uuid4(), "somebody else's")) is None
    with writing(database) as connection:
        key_id = stored.key(connection, context.firm_id)
        clients.erase(connection, quote_id, reason="Asked for", key_id=key_id, now=NOW)
    assert look(context) is None
