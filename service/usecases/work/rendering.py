"""Issued files: made outside any transaction by a worker, attached once, then served as they are.

Who asks for one that is not there is told what it waits for, and never makes it himself. Making it
is repeatable, and the first one attached stays: doing it twice does no harm.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Annotated, Any
from uuid import UUID

from sqlalchemy import Connection

from service.documents.pdf.apart import made_apart
from service.documents.pdf.render import prepare
from service.engine.ground.messages import Message, message
from service.engine.ground.shapes import Unit
from service.errors import Erased, GivenUp
from service.store import clients, files, seals, tasks
from service.store.contents import Placed, content_of, place, take_away
from service.store.retry import retried
from service.store.row_types import File, Task
from service.store.session import writing
from service.usecases.base.context import Context
from service.usecases.base.json import from_json
from service.usecases.base.outbox import queue
from service.usecases.base.seals import of_rows, seal

LONGEST_SHOWN_S = 90
"""Whoever asks waits for what is only shown; a request that takes two minutes is ended."""
SOON_S = 1
"""In so many seconds somebody may ask again for what is being made."""


class AwaitedState(StrEnum):
    """How far a document has come that is not there yet."""

    QUEUED = "queued"
    BEING_MADE = "being_made"
    FAILED = "failed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Awaited:
    """A document that is not there yet, and why."""

    state: Annotated[AwaitedState, "waiting to be made, being made, or to be tried again"]
    attempts: Annotated[int, "how often it was begun"]
    retry_after_s: Annotated[int, Unit("s"), "when to ask again"]
    error: Annotated[Message | None, "what the last attempt ended by"]


def asked_for(context: Context, kind: str, owner_id: UUID, *, client_of: UUID) -> Mapping[str, Any] | Awaited:
    """The file of an owner as it is stored; else what it waits for, queued now if it was not.

    It names the client of the quote `client_of`; raises Erased once that client's data is, and
    GivenUp when it was tried too often.
    """
    found = stored(context, kind, owner_id, client_of=client_of) or retried(
        lambda: _found(context, kind, owner_id, client_of), repeatable=True
    )
    return found or retried(lambda: _queued(context, kind, owner_id), repeatable=True)


def stored(context: Context, kind: str, owner_id: UUID, *, client_of: UUID) -> File | None:
    """The file of an owner, if there is one, in one look; without its content for who has it already."""

    def look() -> File | None:
        with context.reading() as connection:
            return files.readable(
                connection,
                kind=kind,
                owner_id=owner_id,
                firm_id=context.firm_id,
                client_of=client_of,
                has=context.has,
            )

    return _with_content(context, retried(look, repeatable=True))


def _with_content(context: Context, file: File | None) -> File | None:
    """The file with its content, read outside of any transaction from where it lies; not for who has it."""
    if file is None or file["object_key"] is None or file["sha256"] == context.has:
        return file
    return {**file, "content": content_of(context.database, file)}


def _found(context: Context, kind: str, owner_id: UUID, client_of: UUID) -> File | Awaited | None:
    with context.reading() as connection:
        _must_not_be_erased(connection, client_of)
        # First the task: a worker ends it when the file is stored.
        task = tasks.of(connection, kind=kind, subject_id=owner_id)
        file = files.of(connection, kind=kind, owner_id=owner_id)
    if file or task is None:
        return _with_content(context, file)
    return _awaited(task, context.now)


def _queued(context: Context, kind: str, owner_id: UUID) -> Awaited:
    with writing(context.database, firm_id=context.firm_id) as connection:
        queue(connection, context, kind, owner_id)
    return Awaited(state=AwaitedState.QUEUED, attempts=0, retry_after_s=SOON_S, error=None)


def _awaited(task: Task, now: datetime) -> Awaited:
    error = None if task["last_error"] is None else from_json(Message, task["last_error"])
    if task["dead_at"] is not None:
        assert error is not None
        raise GivenUp(message("documents.given_up", attempts=task["attempts"], error=error))
    held = task["leased_until"] is not None and task["leased_until"] > now
    state = (
        AwaitedState.BEING_MADE
        if held
        else AwaitedState.FAILED
        if error and task["attempts"]
        else AwaitedState.QUEUED
    )
    waits_s = 0 if held else round((task["due_at"] - now).total_seconds())
    return Awaited(state=state, attempts=task["attempts"], retry_after_s=max(SOON_S, waits_s), error=error)


def made_once(
    context: Context, kind: str, owner_id: UUID, make: Callable[[], bytes], *, client_of: UUID
) -> Mapping[str, Any]:
    """The file of an owner, with a content that lies in its row: the stored one, or a new one stored first.

    Raises Erased once the data of the client of the quote `client_of` is.
    """
    file = retried(lambda: _stored(context, kind, owner_id, client_of), repeatable=True)
    if file is not None:
        return file
    placed = place(context.database, firm_id=context.firm_id, owner_id=owner_id, name=kind, content=make())
    try:
        file = retried(lambda: _attached(context, kind, owner_id, placed, client_of), repeatable=True)
    except Erased:
        take_away(context.database, placed)
        raise
    if file["object_key"] != placed["object_key"]:
        # Somebody was faster.
        take_away(context.database, placed)
    return file


def _stored(context: Context, kind: str, owner_id: UUID, client_of: UUID) -> File | None:
    with context.reading() as connection:
        _must_not_be_erased(connection, client_of)
        return files.of(connection, kind=kind, owner_id=owner_id)


def _attached(context: Context, kind: str, owner_id: UUID, placed: Placed, client_of: UUID) -> File:
    with writing(context.database, firm_id=context.firm_id) as connection:
        # An erasure may have been faster than the making: what it missed must not be stored after it.
        seals.hold(connection, client_of)
        _must_not_be_erased(connection, client_of)
        new = files.attach(connection, kind=kind, owner_id=owner_id, placed=placed, now=context.now)
        attached = files.of(connection, kind=kind, owner_id=owner_id)
        assert attached is not None
        if new:
            seal(connection, client_of, of_rows("file", [attached]))
        return attached


def shown(context: Context, make: Callable[[], bytes]) -> bytes:
    """A paper that is shown once and stored nowhere, made in a process of its own by facts that are at hand.

    Raises GivenUp where it needs more than it may have.
    """
    settings = context.settings
    limit_s = min(settings.task_limit_s, LONGEST_SHOWN_S)
    prepare()
    return made_apart(make, limit_s=limit_s, limit_mib=settings.task_limit_mib)


def _must_not_be_erased(connection: Connection, quote_id: UUID) -> None:
    client = clients.of_quote(connection, quote_id)
    if client["erased_at"]:
        raise Erased(message("documents.erased", day=client["erased_at"].date()))
