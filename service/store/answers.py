"""First answers to requests that carried an Idempotency-Key.

They belong to the caller's access key, named by the first of the line when it was rotated: a request
that is sent again with its successor finds its answer.
"""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Text, cast, or_, select
from sqlalchemy.dialects import postgresql, sqlite

from service.store.row_types import Answer, one
from service.store.tables import answers

NO_REQUEST = "0" * 64
SOUGHT_AT_ONCE = 50


def claim(
    connection: Connection,
    *,
    key_id: UUID,
    idempotency_key: str,
    request_sha256: str,
    now: datetime,
    expired: datetime,
) -> bool:
    """Take a key for this request; False when it was taken since `expired`.

    A twin that is at work is waited for: by the end of its transaction there is
    its answer, or the key is free.
    """
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    insert = dialect.insert(answers).values(
        key_id=key_id,
        idempotency_key=idempotency_key,
        request_sha256=request_sha256,
        answer=None,
        created_at=now,
    )
    taken = insert.on_conflict_do_update(
        index_elements=["key_id", "idempotency_key"],
        set_={name: insert.excluded[name] for name in ("request_sha256", "answer", "created_at")},
        where=answers.c.created_at < expired,
    ).returning(answers.c.key_id)
    return connection.execute(taken).first() is not None


def keep(connection: Connection, *, key_id: UUID, idempotency_key: str, answer: Any) -> None:
    """Keep the answer to the request that took the key, in the transaction that took it."""
    connection.execute(answers.update().where(*_one(key_id, idempotency_key)).values(answer=answer))


def of(connection: Connection, *, key_id: UUID, idempotency_key: str) -> Answer | None:
    """The request that took a key, and its answer; None while nobody has taken it."""
    return one(Answer, connection.execute(select(answers).where(*_one(key_id, idempotency_key))))


def forget(connection: Connection, names: Sequence[str]) -> None:
    """Erase every answer that holds one of these names, and its request's digest; the keys stay taken."""
    text = cast(answers.c.answer, Text)
    for first in range(0, len(names), SOUGHT_AT_ONCE):
        holds = or_(*(text.contains(name) for name in names[first : first + SOUGHT_AT_ONCE]))
        connection.execute(answers.update().where(holds).values(answer=None, request_sha256=NO_REQUEST))


def _one(key_id: UUID, idempotency_key: str) -> tuple[Any, ...]:
    return answers.c.key_id == key_id, answers.c.idempotency_key == idempotency_key


def sweep(connection: Connection, *, key_id: UUID, expired: datetime, most: int) -> int:
    """Delete up to `most` answers from before `expired`; returns how many. Nobody is waited for."""
    old = (
        select(answers.c.idempotency_key)
        .where(answers.c.key_id == key_id, answers.c.created_at < expired)
        .limit(most)
        .with_for_update(skip_locked=True)
    )
    # Not as a subquery: PostgreSQL may run one more than once, and then its limit is none.
    found = connection.execute(old).scalars().all()
    if found:
        connection.execute(
            answers.delete().where(answers.c.key_id == key_id, answers.c.idempotency_key.in_(found))
        )
    return len(found)
