"""Objects of a client whose data was erased: deleted by a worker, after the erasure was committed.

No row names them any more, so that nobody is given them meanwhile. What lies under an owner's name is
deleted whole: also what was put there and never named.
"""

from collections.abc import Collection, Iterator
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import Message, message
from service.errors import Conflict
from service.store import contents, quotes, tasks
from service.store.row_types import Quote
from service.usecases.base.context import Context, loads
from service.usecases.work.erasures import OBJECTS, owners_of


def delete(context: Context, quote_id: UUID) -> None:
    """Delete every object of an erased quote, its job and its certificates; raises ContentUnavailable."""
    owners = _erased_owners(context, quote_id)
    objects = contents.needed(context.database)
    for owner_id in owners:
        for key in list(objects.under(contents.owned(context.firm_id, owner_id))):
            objects.delete(key)


@loads
def _erased_owners(connection: Connection, context: Context, quote_id: UUID) -> list[UUID]:
    quote = quotes.by_id(connection, firm_id=context.firm_id, quote_id=quote_id)
    if quote is None or not quote["client_erased_at"]:
        raise Conflict(message("keeping.nothing_erased"))
    return owners_of(connection, quote_id)


def faults(connection: Connection, quote: Quote, owners: Collection[UUID]) -> Iterator[Message]:
    """What is left of an erased quote in the object store, and nobody is about to delete."""
    objects = contents.objects_of(connection)
    waiting = tasks.of(connection, kind=OBJECTS, subject_id=quote["id"])
    if objects is None or (waiting and waiting["dead_at"] is None):
        return
    for owner_id in owners:
        for key in objects.under(contents.owned(quote["firm_id"], owner_id)):
            yield message("keeping.object_not_erased", key=key)
