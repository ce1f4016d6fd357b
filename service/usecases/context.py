"""What a use case is told of the request that asked for it, and the transaction it runs in.

`reads` and `writes` open the only transaction of a use case; what it returns is
made plain JSON before the transaction ends. `writes` also keeps the answer when
the caller sent an Idempotency-Key, in the same transaction as the effect, so
that there is never one without the other.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import wraps
from typing import Any, Concatenate, ParamSpec
from uuid import UUID

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import IntegrityError

from service.errors import Fault, InvalidInput
from service.settings import Settings
from service.store import answers
from service.store.session import reading, writing
from service.usecases.plain import plain

P = ParamSpec("P")

NOBODY = UUID(int=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Caller:
    """Whoever holds a key: for which firm, in which roles."""

    key_id: UUID
    firm_id: UUID
    roles: frozenset[str]
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Once:
    """The caller's mark on a request that must have its effect only once."""

    key: str
    request_sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """The surroundings of one use case."""

    database: Engine
    settings: Settings
    caller: Caller | None
    now: datetime
    once: Once | None = None

    def acting_for(self, firm_id: UUID, label: str) -> "Context":
        """The same surroundings for somebody who holds no key: a client with a link, or the operator."""
        caller = Caller(key_id=NOBODY, firm_id=firm_id, roles=frozenset(), label=label)
        return replace(self, caller=caller, once=None)

    @property
    def sees(self) -> UUID | None:
        """The firm whose rows the database shows to this use case; none's before somebody is known."""
        return self.caller.firm_id if self.caller else None

    @property
    def firm_id(self) -> UUID:
        """The caller's firm: every query of a use case is held to it."""
        if self.caller is None:
            raise RuntimeError("this use case needs a caller")
        return self.caller.firm_id


def reads(
    use_case: Callable[Concatenate[Connection, Context, P], Any],
) -> Callable[Concatenate[Context, P], Any]:
    """Run a use case in a transaction that only reads."""

    @wraps(use_case)
    def run(context: Context, *args: P.args, **named: P.kwargs) -> Any:
        with reading(context.database, firm_id=context.sees) as connection:
            return plain(use_case(connection, context, *args, **named))

    return run


def writes(
    use_case: Callable[Concatenate[Connection, Context, P], Any],
) -> Callable[Concatenate[Context, P], Any]:
    """Run a use case in a transaction that writes, once per Idempotency-Key."""

    @wraps(use_case)
    def run(context: Context, *args: P.args, **named: P.kwargs) -> Any:
        try:
            with writing(context.database, firm_id=context.sees) as connection:
                return _answer(connection, context, lambda: use_case(connection, context, *args, **named))
        except IntegrityError:
            # A twin with the same key may have committed while this one was at work.
            with reading(context.database, firm_id=context.sees) as connection:
                known = _known(connection, context)
            if known is None:
                raise
            return known["answer"]

    return run


def _answer(connection: Connection, context: Context, act: Callable[[], Any]) -> Any:
    known = _known(connection, context)
    if known is not None:
        return known["answer"]
    answer = plain(act())
    if context.once and context.caller:
        answers.add(
            connection,
            {
                "key_id": context.caller.key_id,
                "idempotency_key": context.once.key,
                "request_sha256": context.once.request_sha256,
                "answer": answer,
                "created_at": context.now,
            },
        )
    return answer


def _known(connection: Connection, context: Context) -> Any:
    if not (context.once and context.caller):
        return None
    known = answers.find(connection, key_id=context.caller.key_id, idempotency_key=context.once.key)
    if known and known["request_sha256"] != context.once.request_sha256:
        raise InvalidInput(Fault("", "This Idempotency-Key was used before, for another request."))
    return known
