"""Whether events tell of everything that happened and of nothing else, each in its place.

Events are not sealed: what they name is. They repeat in the order of commit what the records say.
"""

from collections.abc import Iterator
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import EventKind
from service.store import events


def event_faults(connection: Connection, firm_id: UUID) -> Iterator[Message]:
    """What is wrong with a firm's events."""
    count, last, taken = events.extent(connection, firm_id)
    if not count == last == taken:
        yield message("keeping.events_missing", count=count, due=taken)
    for kind in events.HAPPENED:
        if missing := events.untold(connection, firm_id=firm_id, kind=kind):
            yield message("keeping.events_untold", kind=EventKind(kind), count=missing)
        if wrong := events.unfounded(connection, firm_id=firm_id, kind=kind):
            yield message("keeping.events_unfounded", kind=EventKind(kind), count=wrong)
