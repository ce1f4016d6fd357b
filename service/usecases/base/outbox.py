"""What is to be done after a change: a task, written in the transaction of the change."""

from uuid import UUID

from sqlalchemy import Connection

from service import tracing
from service.store import tasks
from service.usecases.base.context import Context


def queue(connection: Connection, context: Context, kind: str, subject_id: UUID) -> None:
    """Let a worker do something, once this transaction is committed.

    The request that it follows goes with it, so that the log tells the one by the other.
    """
    tasks.add(
        connection,
        firm_id=context.firm_id,
        kind=kind,
        subject_id=subject_id,
        now=context.now,
        request_id=tracing.request_id(),
        trace=tracing.traceparent(),
    )
