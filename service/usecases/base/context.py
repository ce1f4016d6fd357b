"""What a use case is told of the request that asked for it, and the transaction it runs in.

`reads` and `writes` open the only transaction of a use case; what it returns is
made plain JSON before the transaction ends. `writes` also keeps the answer when
the caller sent an Idempotency-Key, in the same transaction as the effect, so
that there is never one without the other.

A use case depends on its arguments and the database alone, so a transaction that
the database gave up is run again, a few times. One that was lost in its commit is
run again only under an Idempotency-Key, which tells whether it came through.
"""

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar
from uuid import UUID

from sqlalchemy import Connection, Engine

from service.engine.ground.messages import message
from service.errors import BaywrightError, Erased, Fault, InvalidInput, Repeated
from service.settings import Settings
from service.store import answers
from service.store.retry import retried
from service.store.row_types import Answer
from service.store.session import Begun, reading, writing
from service.usecases.base.json import to_json
from service.usecases.base.locked import locked, unlocked

P = ParamSpec("P")
T = TypeVar("T")

NOBODY = UUID(int=0)
# Every answer that is kept takes this many expired ones away, if there are any.
SWEPT_AT_ONCE = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Caller:
    """Whoever holds a key: for which firm, in which roles; a crew's link is held to the crew's jobs.

    A key that was rotated goes on in its successor: `first_key_id` is that of the first of them.
    """

    key_id: UUID
    first_key_id: UUID
    firm_id: UUID
    roles: frozenset[str]
    label: str
    crew_id: UUID | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Once:
    """The caller's mark on a request that must have its effect only once.

    `shown` gives what a use case returned the form in which it is answered, again
    plain JSON: that is what is kept.
    """

    key: str
    request_sha256: str
    shown: Callable[[Any], Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """The surroundings of one use case."""

    database: Engine
    settings: Settings
    caller: Caller | None
    now: datetime
    once: Once | None = None
    has: str | None = None
    """The digest of the file that the caller has already, and asks for whether there is another."""
    begun: Begun | None = None
    """The transaction in which the caller was identified: what only reads goes on with it."""

    def acting_for(self, firm_id: UUID, label: str) -> "Context":
        """The same surroundings for somebody who holds no key: a client with a link, or the operator."""
        caller = Caller(key_id=NOBODY, first_key_id=NOBODY, firm_id=firm_id, roles=frozenset(), label=label)
        return replace(self, caller=caller, once=None, begun=None)

    def reading(self) -> AbstractContextManager[Connection]:
        """A transaction that only reads what the caller may see."""
        begun = self.begun.taken() if self.begun else None
        return begun or reading(self.database, firm_id=self.sees)

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
    def run(context: Context, /, *args: P.args, **named: P.kwargs) -> Any:
        def transaction() -> Any:
            with context.reading() as connection:
                return to_json(use_case(connection, context, *args, **named))

        return retried(transaction, repeatable=True)

    return run


def loads(use_case: Callable[Concatenate[Connection, Context, P], T]) -> Callable[Concatenate[Context, P], T]:
    """Run a use case in a transaction that only reads; what it returns stays as it is.

    For what is worked out afterwards, in no transaction.
    """

    @wraps(use_case)
    def run(context: Context, /, *args: P.args, **named: P.kwargs) -> T:
        def transaction() -> T:
            with context.reading() as connection:
                return use_case(connection, context, *args, **named)

        return retried(transaction, repeatable=True)

    return run


def writes(
    use_case: Callable[Concatenate[Connection, Context, P], Any],
) -> Callable[Concatenate[Context, P], Any]:
    """Run a use case in a transaction that writes, once per Idempotency-Key; else raises Repeated."""
    return _writing(use_case, locks=False)


def writes_link(
    use_case: Callable[Concatenate[Connection, Context, P], Any],
) -> Callable[Concatenate[Context, P], Any]:
    """As `writes`, for a use case whose answer holds a link: it is kept under the secret key."""
    return _writing(use_case, locks=True)


def _writing(
    use_case: Callable[Concatenate[Connection, Context, P], Any], *, locks: bool
) -> Callable[Concatenate[Context, P], Any]:
    @wraps(use_case)
    def run(context: Context, /, *args: P.args, **named: P.kwargs) -> Any:
        def transaction() -> Any:
            with writing(context.database, firm_id=context.sees) as connection:
                return _once(
                    connection, context, lambda: use_case(connection, context, *args, **named), locks=locks
                )

        return retried(transaction, repeatable=context.once is not None)

    return run


def _once(connection: Connection, context: Context, act: Callable[[], Any], *, locks: bool) -> Any:
    if context.once is None:
        return to_json(act())
    key, expired = _key_of(context, context.once), _expired(context)
    request = context.once.request_sha256
    if not answers.claim(connection, **key, request_sha256=request, now=context.now, expired=expired):
        first = answers.of(connection, **key)
        assert first is not None
        raise _repetition(first, request, context)
    answer = to_json(act())
    shown = context.once.shown(answer)
    kept = locked(shown, context.settings.secret_key) if locks else shown
    answers.keep(connection, **key, answer=kept)
    answers.sweep(connection, key_id=key["key_id"], expired=expired, most=SWEPT_AT_ONCE)
    return answer


def refuse_repeated(connection: Connection, context: Context) -> None:
    """Raise Repeated when this was done before, under its Idempotency-Key.

    `writes` does, so this is for what has much to do before it writes. A twin that
    is at work is not seen yet: it must be left to `writes` which of them is the first.
    """
    if context.once is None:
        return
    first = answers.of(connection, **_key_of(context, context.once))
    if first and first["created_at"] >= _expired(context):
        raise _repetition(first, context.once.request_sha256, context)


def _repetition(first: Answer, request_sha256: str, context: Context) -> BaywrightError:
    if first["answer"] is None:
        return Erased(message("base.answer_erased"))
    if first["request_sha256"] != request_sha256:
        return InvalidInput(Fault("", message("base.key_used_before")))
    return Repeated(unlocked(first["answer"], context.settings.secret_key))


def _key_of(context: Context, once: Once) -> dict[str, Any]:
    assert context.caller is not None
    return {"key_id": context.caller.first_key_id, "idempotency_key": once.key}


def _expired(context: Context) -> datetime:
    return context.now - timedelta(days=context.settings.idempotency_days)
