"""What workers do: each kind of task, and how one is claimed, performed and settled.

A task is a row that was written in the transaction of a change (`store/tasks.py: add`); nothing
else starts one. A new kind needs a handler in KINDS, called with a context of the task's firm and
the id of its subject. It is called at least once, perhaps twice at once: a second call must do no
harm. What it raises puts the task off; Erased ends it, for there is nothing left to be done.

Kinds of one lane wait for one another, lanes do not: what hangs in one holds up its own alone.
"""

import logging
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TypedDict
from uuid import UUID

from sqlalchemy import Engine

from service.engine.ground.messages import Message, message
from service.errors import BaywrightError, Erased, SettingsWrong, Unavailable
from service.store import deliveries as on_the_way
from service.store import tasks
from service.store.row_types import Task, some
from service.store.session import reading, writing
from service.usecases.base.context import Context
from service.usecases.base.json import to_json
from service.usecases.firm import deliveries, receivers
from service.usecases.keeping import daily_anchors, erased_objects
from service.usecases.work import erasures, ready
from service.usecases.work.documents import MAKERS

log = logging.getLogger("baywright")

LEASE = timedelta(seconds=30)
"""For so long a claim holds unless it is renewed: so long waits what died with its worker."""
MINUTE, HOUR = 60, 3600
# A day of trying: what is wrong with a key or a disk is put right by then, or somebody has to look.
DOCUMENT_PAUSES_S = (5, 30, 2 * MINUTE, 10 * MINUTE, HOUR, 3 * HOUR, 6 * HOUR, 12 * HOUR)
# Three days: a receiver may be gone over a weekend.
DELIVERY_PAUSES_S = (
    *DOCUMENT_PAUSES_S[:4],
    HOUR,
    2 * HOUR,
    5 * HOUR,
    10 * HOUR,
    12 * HOUR,
    18 * HOUR,
    24 * HOUR,
)
# What a delivery takes in all, and a little: names are resolved without a limit of our own.
DELIVERY_LIMIT_S = receivers.IN_ALL_S + 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of task: what does it, in which lane, and how long it rests after each failure.

    After the last pause a task that fails once more is dead, until somebody revives it. `limit_s` is how
    long it may take where that is less than the settings say, `places` how many a worker does at once.
    """

    handle: Callable[[Context, UUID], object]
    lane: str
    pauses_s: tuple[int, ...]
    limit_s: int | None = None
    places: int = 1


# A week of trying: an authority for timestamps may be away for days, and tomorrow's takes its place.
ANCHOR_PAUSES_S = (MINUTE, 10 * MINUTE, *(HOUR,) * 7 * 24)
# The same: nobody is to be told that something is erased which is not, only because a store was away.
ERASURE_PAUSES_S = ANCHOR_PAUSES_S
KINDS: Mapping[str, Kind] = {
    **{
        name: Kind(handle=make, lane="documents", pauses_s=DOCUMENT_PAUSES_S) for name, make in MAKERS.items()
    },
    daily_anchors.KIND: Kind(handle=daily_anchors.make, lane="anchors", pauses_s=ANCHOR_PAUSES_S),
    ready.KIND: Kind(handle=ready.look, lane="readiness", pauses_s=DOCUMENT_PAUSES_S),
    erasures.OBJECTS: Kind(handle=erased_objects.delete, lane="erasures", pauses_s=ERASURE_PAUSES_S),
    on_the_way.KIND: Kind(
        handle=deliveries.deliver,
        lane="deliveries",
        pauses_s=DELIVERY_PAUSES_S,
        limit_s=DELIVERY_LIMIT_S,
        places=4,
    ),
}
LANES: Mapping[str, int] = {kind.lane: kind.places for kind in KINDS.values()}
"""How many tasks of a lane a worker does at once."""


class _Next(TypedDict):
    until: datetime
    dead: bool


def kinds_of(lane: str) -> tuple[str, ...]:
    """The kinds of a lane."""
    return tuple(name for name, kind in KINDS.items() if kind.lane == lane)


def claimed(database: Engine, kinds: tuple[str, ...], now: datetime) -> Task | None:
    """The next task of these kinds, leased; none where nothing is due. The operator's database."""
    with reading(database) as connection:
        if not tasks.is_any_due(connection, kinds, now):
            return None
    with writing(database) as connection:
        return tasks.claim(connection, kinds, now=now, leased_until=now + LEASE)


def renewed(database: Engine, task: Task, now: datetime) -> None:
    """Go on holding a task."""
    with writing(database) as connection:
        tasks.renew(connection, task, now + LEASE)


def performed(context: Context, task: Task) -> Message | None:
    """Do a task; returns what was wrong, or none. `context` is nobody's yet."""
    if task["attempts"] > _most(task):
        # It was begun so often, and nobody came to say how it ended.
        return message("tasks.abandoned", attempts=task["attempts"])
    try:
        KINDS[task["kind"]].handle(context.acting_for(task["firm_id"], "worker"), task["subject_id"])
    except Erased:
        return None
    except MemoryError:
        return message("tasks.out_of_memory")
    except BaywrightError as error:
        if isinstance(error.detail, Message):
            return error.detail
        if isinstance(error, SettingsWrong):
            return message("tasks.said", text=str(error.detail))
        return _unforeseen(error)
    except Exception as error:  # noqa: BLE001 - it is the task's end, not the worker's
        return _unforeseen(error)
    return None


def _unforeseen(error: Exception) -> Message:
    """Of an error that may quote anything its kind alone; the log has its places in the code."""
    log.error("a task failed", exc_info=error)
    return message("tasks.failed", error=type(error).__name__)


def settled(database: Engine, task: Task, error: Message | None, *, now: datetime, seconds: float) -> None:
    """End a task that was done, put off one that failed, and count what was spent on it."""
    with writing(database) as connection:
        if error is None:
            held = tasks.end(connection, task)
        else:
            held = tasks.put_off(connection, task, error=to_json(error), **_what_next(task, now))
        if held:
            tasks.spend(connection, task, failed=error is not None, seconds=seconds)


def _what_next(task: Task, now: datetime) -> _Next:
    dead = task["attempts"] >= _most(task)
    pause_s = 0 if dead else KINDS[task["kind"]].pauses_s[task["attempts"] - 1]
    return {"until": now + timedelta(seconds=pause_s), "dead": dead}


def _most(task: Task) -> int:
    """How often a task is tried."""
    return len(KINDS[task["kind"]].pauses_s) + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Of a kind of task, all firms together: what waits and since when, what is dead, what was spent."""

    kind: str
    waiting: int
    dead: int
    oldest_seconds: float
    done: int
    failed: int
    seconds: float


def figures(database: Engine, now: datetime) -> list[Figures]:
    """The figures of every kind that there is or was something to do of; none while there is no database."""
    with suppress(Unavailable), reading(database) as connection:
        return [
            Figures(
                **some(row, ("kind", "waiting", "dead", "done", "failed", "seconds")),
                oldest_seconds=(now - row["oldest"]).total_seconds() if row["oldest"] else 0,
            )
            for row in tasks.figures(connection)
        ]
    return []


def given_up(database: Engine) -> list[Task]:
    """What was given up, oldest first."""
    with reading(database) as connection:
        return tasks.dead(connection)


def revived(database: Engine, now: datetime) -> int:
    """Let everything that was given up begin anew; returns how many."""
    with writing(database) as connection:
        return tasks.revive(connection, now)
