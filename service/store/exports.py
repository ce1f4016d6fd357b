"""What a firm takes away as tables: rows of some days, oldest first, never more than asked for."""

from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Select, select

from service.store.finding import Days, held_against, made_between
from service.store.quote_options import AGREED, AGREED_OPTION, with_agreed
from service.store.row_types import every
from service.store.tables import (
    certificates,
    clients,
    entries,
    jobs,
    quote_cavities,
    quotes,
    supersessions,
    withdrawals,
)

Rows = list[dict[str, Any]]


def _rows(connection: Connection, statement: Select[Any], limit: int) -> Rows:
    return every(dict[str, Any], connection.execute(statement.limit(limit)))


def quotes_between(connection: Connection, *, firm_id: UUID, days: Days, limit: int) -> Rows:
    """Quotes that were drafted on these days, with what there still is of their clients."""
    names = ("number", "reference", "state", "currency", "total", "created_at", "offered_at", "valid_until")
    heads = [AGREED[name] for name in (*names, "accepted_at", "withdrawn_at", "summary")]
    statement = select(*heads, clients.c.data.label("client")).select_from(quotes)
    statement = statement.join(clients, clients.c.quote_id == quotes.c.id)
    held = with_agreed(statement).where(quotes.c.firm_id == firm_id, *made_between(quotes, days))
    return _rows(connection, held.order_by(quotes.c.id), limit)


def parts_between(connection: Connection, *, firm_id: UUID, days: Days, limit: int) -> Rows:
    """The cavities of jobs that began on these days, as they were quoted."""
    names = ("label", "count", "line", "single_line")
    statement = (
        select(
            jobs.c.number.label("job"),
            quotes.c.number.label("quote"),
            quotes.c.id.label("quote_id"),
            *(quote_cavities.c[n] for n in names),
        )
        .select_from(jobs)
        .join(quotes, quotes.c.id == jobs.c.quote_id)
        .join(quote_cavities, quote_cavities.c.quote_id == quotes.c.id)
    )
    agreed = with_agreed(statement).where(quote_cavities.c.option == AGREED_OPTION)
    held = agreed.where(jobs.c.firm_id == firm_id, *made_between(jobs, days))
    return _rows(connection, held.order_by(jobs.c.id, quote_cavities.c.position), limit)


def entries_between(connection: Connection, *, firm_id: UUID, days: Days, limit: int) -> Rows:
    """Entries that were received on these days, in the order of recording."""
    names = ("id", "kind", "happened_at", "by", "received_at", "corrects", "data")
    statement = select(jobs.c.number.label("job"), *(entries.c[name] for name in names)).join(
        jobs, jobs.c.id == entries.c.job_id
    )
    received = entries.c.received_at
    held = statement.where(entries.c.firm_id == firm_id, received >= days[0], received < days[1])
    return _rows(connection, held.order_by(entries.c.job_id, entries.c.position), limit)


def certificates_between(connection: Connection, *, firm_id: UUID, days: Days, limit: int) -> Rows:
    """Certificates that were issued on these days, with what has become of them since."""
    newer = certificates.alias("newer")
    statement = (
        select(
            certificates.c.number,
            jobs.c.number.label("job"),
            certificates.c.issued_at,
            certificates.c.record_sha256,
            newer.c.number.label("superseded_by"),
            withdrawals.c.withdrawn_at,
            withdrawals.c.reason.label("withdrawal_reason"),
        )
        .join(jobs, jobs.c.id == certificates.c.job_id)
        .outerjoin(supersessions, supersessions.c.certificate_id == certificates.c.id)
        .outerjoin(newer, newer.c.id == supersessions.c.superseded_by)
        .outerjoin(withdrawals, withdrawals.c.certificate_id == certificates.c.id)
    )
    mine = held_against(certificates.c.firm_id) == firm_id
    held = statement.where(mine, *made_between(certificates, days, at="issued_at"))
    return _rows(connection, held.order_by(held_against(certificates.c.position)), limit)
