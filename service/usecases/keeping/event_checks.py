"""Whether events tell of everything that happened and of nothing else, each in its place and as it was told.

Events are a chain of digests of their own, beside the seals: what they name is sealed. They repeat in the
order of commit what the records say, and are held against these too.
"""

from collections.abc import Iterator
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import EventKind
from service.store import events
from service.store.seals import NO_PREVIOUS
from service.usecases.base.events import chained_after


def event_faults(connection: Connection, firm_id: UUID) -> Iterator[Message]:
    """What is wrong with a firm's events."""
    count, last, taken = events.extent(connection, firm_id)
    if not count == last == taken:
        yield message("keeping.events_missing", count=count, due=taken)
    yield from _chain_faults(connection, firm_id)
    for kind in events.HAPPENED:
        if missing := events.untold(connection, firm_id=firm_id, kind=kind):
            yield message("keeping.events_untold", kind=EventKind(kind), count=missing)
        if wrong := events.unfounded(connection, firm_id=firm_id, kind=kind):
            yield message("keeping.events_unfounded", kind=EventKind(kind), count=wrong)


def _chain_faults(connection: Connection, firm_id: UUID) -> Iterator[Message]:
    end = NO_PREVIOUS
    for event in events.of_firm(connection, firm_id):
        if event["chain_sha256"] != chained_after(end, event):
            yield message("keeping.event_altered", position=event["position"])
        end = event["chain_sha256"]
