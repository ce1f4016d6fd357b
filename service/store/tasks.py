"""Tasks: what is to be done after a change, written in the transaction of the change.

A task is claimed with a lease, which whoever works on it renews. Once the lease is over anybody
may claim it again; `attempts` counts the claims, and only the latest claim can end a task or put
it off.
"""

from collections.abc import Collection, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Connection, Float, Integer, String, and_, column, or_, select, table
from sqlalchemy.dialects import postgresql, sqlite
from uuid6 import uuid7

from service.store.row_types import Task, TaskFigures, every, one
from service.store.tables import spent, tasks
from service.store.types import Instant

# A view: on PostgreSQL it counts with its owner's eyes, for the service sees the rows of one firm alone.
FIGURES = table(
    "task_figures",
    column("kind", String()),
    *(column(name, Integer()) for name in ("waiting", "dead", "done", "failed")),
    column("oldest", Instant()),
    column("seconds", Float()),
)


def add(
    connection: Connection,
    *,
    firm_id: UUID,
    kind: str,
    subject_id: UUID,
    now: datetime,
    request_id: str | None = None,
    trace: str | None = None,
) -> None:
    """Let something be done, unless it is waiting to be done already.

    What somebody is at just now is done once more after that: he may have begun before this change.
    """
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    insert = dialect.insert(tasks).values(
        id=uuid7(),
        firm_id=firm_id,
        kind=kind,
        subject_id=subject_id,
        created_at=now,
        due_at=now,
        attempts=0,
        request_id=request_id,
        trace=trace,
    )
    connection.execute(
        insert.on_conflict_do_update(
            index_elements=[tasks.c.kind, tasks.c.subject_id],
            set_={name: insert.excluded[name] for name in ("due_at", "request_id", "trace")},
            where=tasks.c.leased_until.is_not(None),
        )
    )


def of(connection: Connection, *, kind: str, subject_id: UUID) -> Task | None:
    """What is still to be done of this kind with a thing."""
    found = connection.execute(select(tasks).where(tasks.c.kind == kind, tasks.c.subject_id == subject_id))
    return one(Task, found)


def _is_due(kinds: Collection[str], now: datetime) -> ColumnElement[bool]:
    return and_(
        tasks.c.kind.in_(kinds),
        tasks.c.dead_at.is_(None),
        tasks.c.due_at <= now,
        or_(tasks.c.leased_until.is_(None), tasks.c.leased_until <= now),
    )


def is_any_due(connection: Connection, kinds: Collection[str], now: datetime) -> bool:
    """Whether there is anything to claim: asked without a lock, and far more often than yes."""
    return connection.execute(select(tasks.c.id).where(_is_due(kinds, now)).limit(1)).first() is not None


def claim(
    connection: Connection, kinds: Collection[str], *, now: datetime, leased_until: datetime
) -> Task | None:
    """The task that is due for longest, leased; what others are claiming just now is passed over."""
    next_one = (
        select(tasks.c.id)
        .where(_is_due(kinds, now))
        .order_by(tasks.c.due_at, tasks.c.id)
        .limit(1)
        .with_for_update(skip_locked=True)
        .scalar_subquery()
    )
    claimed = connection.execute(
        tasks.update()
        .where(tasks.c.id == next_one)
        .values(leased_until=leased_until, attempts=tasks.c.attempts + 1)
        .returning(tasks)
    )
    return one(Task, claimed)


def _claimed(task: Task) -> ColumnElement[bool]:
    return and_(tasks.c.id == task["id"], tasks.c.attempts == task["attempts"])


def renew(connection: Connection, task: Task, leased_until: datetime) -> None:
    """Go on holding a task."""
    connection.execute(tasks.update().where(_claimed(task)).values(leased_until=leased_until))


def end(connection: Connection, task: Task) -> bool:
    """Take a task away that was done; False when somebody else holds it by now.

    One that was asked for again meanwhile is let go of, for whoever claims it next.
    """
    as_claimed = tasks.c.due_at == task["due_at"]
    if connection.execute(tasks.delete().where(_claimed(task), as_claimed)).rowcount == 1:
        return True
    fresh = {"leased_until": None, "attempts": 0, "last_error": None}
    return connection.execute(tasks.update().where(_claimed(task)).values(**fresh)).rowcount == 1


def put_off(connection: Connection, task: Task, *, until: datetime, error: Any, dead: bool) -> bool:
    """Keep a task that failed, for later or as dead; False when somebody else holds it by now."""
    values = {"due_at": until, "leased_until": None, "last_error": error, "dead_at": until if dead else None}
    return connection.execute(tasks.update().where(_claimed(task)).values(**values)).rowcount == 1


def dead(connection: Connection) -> list[Task]:
    """What was given up, oldest first."""
    rows = connection.execute(select(tasks).where(tasks.c.dead_at.is_not(None)).order_by(tasks.c.dead_at))
    return every(Task, rows)


def revive(connection: Connection, now: datetime) -> int:
    """Let tasks that were given up begin anew; returns how many."""
    fresh = {"dead_at": None, "due_at": now, "attempts": 0}
    return connection.execute(tasks.update().where(tasks.c.dead_at.is_not(None)).values(**fresh)).rowcount


def spend(connection: Connection, task: Task, *, failed: bool, seconds: float) -> None:
    """Count an attempt and the seconds that it took."""
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    added: Mapping[str, Any] = {"done": int(not failed), "failed": int(failed), "seconds": seconds}
    insert = dialect.insert(spent).values(firm_id=task["firm_id"], kind=task["kind"], **added)
    connection.execute(
        insert.on_conflict_do_update(
            index_elements=[spent.c.firm_id, spent.c.kind],
            set_={name: spent.c[name] + value for name, value in added.items()},
        )
    )


def figures(connection: Connection) -> list[TaskFigures]:
    """By kind, what waits and since when, what is dead, and what was spent: of all firms together."""
    return every(TaskFigures, connection.execute(select(FIGURES).order_by(FIGURES.c.kind)))
