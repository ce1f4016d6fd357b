"""Events of a firm, in the order in which the changes were committed that they tell of.

A position is given out by counting up a row of the firm's, which stays locked until the transaction
ends (`series`): who would take the next one waits. So what has a lower position was committed before,
and is seen by whoever sees a higher one, however long its transaction was open.
"""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Select, Table, func, select

from service.store import series
from service.store.row_types import Event, every, stream
from service.store.seals import NO_PREVIOUS
from service.store.tables import certificates, events, imports, jobs, quotes, supersessions, withdrawals

NO_YEAR = 0
"""Positions go on from year to year."""

Happened = Callable[[UUID], Select[Any]]
"""Of a firm what something happened to: its id, and the quote that it belongs to."""


def _of_certificates(of: Table) -> Happened:
    """Those of a firm's certificates that are in a table."""
    named = of.c.id if of is certificates else of.c.certificate_id
    found = select(named.label("subject"), jobs.c.quote_id).join(jobs, jobs.c.id == certificates.c.job_id)
    if of is not certificates:
        found = found.join(of, of.c.certificate_id == certificates.c.id)
    return lambda firm_id: found.where(certificates.c.firm_id == firm_id)


HAPPENED: Mapping[str, Happened] = {
    "quote.offered": lambda firm_id: select(
        quotes.c.id.label("subject"), quotes.c.id.label("quote_id")
    ).where(quotes.c.firm_id == firm_id, quotes.c.number.is_not(None)),
    "quote.accepted": lambda firm_id: select(jobs.c.quote_id.label("subject"), jobs.c.quote_id).where(
        jobs.c.firm_id == firm_id
    ),
    "certificate.issued": _of_certificates(certificates),
    "certificate.superseded": _of_certificates(supersessions),
    "certificate.withdrawn": _of_certificates(withdrawals),
}
"""What events of these kinds rest on. Whether a part is done or a job is ready can change back."""


def take(connection: Connection, *, firm_id: UUID, count: int) -> tuple[int, str]:
    """The first of so many positions at the end, and where the chain of digests ends before it.

    The firm's other events wait for this transaction from here on.
    """
    last = series.take(connection, firm_id=firm_id, kind="event", year=NO_YEAR, count=count)
    first = last - count + 1
    before = (events.c.firm_id == firm_id, events.c.position == first - 1)
    end = connection.execute(select(events.c.chain_sha256).where(*before)).scalar_one_or_none()
    return first, end or NO_PREVIOUS


def add_all(connection: Connection, rows: Sequence[Event]) -> None:
    """Add events at the positions that were taken for them."""
    connection.execute(events.insert(), list(rows))


def of_firm(connection: Connection, firm_id: UUID) -> Iterator[Event]:
    """Every event of a firm, in their order."""
    mine = select(events).where(events.c.firm_id == firm_id).order_by(events.c.position)
    return stream(Event, connection.execute(mine.execution_options(yield_per=1000)))


def after(connection: Connection, *, firm_id: UUID, position: int, limit: int) -> list[Event]:
    """Up to `limit` events of a firm after a position, in their order."""
    mine = select(events).where(events.c.firm_id == firm_id, events.c.position > position)
    return every(Event, connection.execute(mine.order_by(events.c.position).limit(limit)))


def extent(connection: Connection, firm_id: UUID) -> tuple[int, int, int]:
    """How many events there are of a firm, the last one's position, and the last position given out."""
    mine = select(func.count(), func.max(events.c.position)).where(events.c.firm_id == firm_id)
    count, last = connection.execute(mine).one()
    taken = series.last_taken(connection, firm_id=firm_id, kind="event")
    return count, last or 0, taken.get(NO_YEAR, 0)


def of_ids(connection: Connection, ids: Collection[UUID]) -> list[Event]:
    """The events of these ids."""
    return every(Event, connection.execute(select(events).where(events.c.id.in_(ids))))


def untold(connection: Connection, *, firm_id: UUID, kind: str) -> int:
    """To how many things it happened, and no event tells of it; what was imported happened elsewhere."""
    happened = HAPPENED[kind](firm_id).subquery()
    told = select(events.c.subject_id).where(events.c.firm_id == firm_id, events.c.kind == kind)
    elsewhere = select(imports.c.quote_id)
    missing = select(func.count()).where(
        happened.c.subject.not_in(told), happened.c.quote_id.not_in(elsewhere)
    )
    return connection.execute(missing).scalar_one()


def unfounded(connection: Connection, *, firm_id: UUID, kind: str) -> int:
    """How many events tell of what did not happen."""
    happened = HAPPENED[kind](firm_id).subquery()
    wrong = select(func.count()).where(
        events.c.firm_id == firm_id,
        events.c.kind == kind,
        events.c.subject_id.not_in(select(happened.c.subject)),
    )
    return connection.execute(wrong).scalar_one()
