"""What a firm's journal knows, held against what is there: rows as they were noted, and no others."""

from collections.abc import Iterator
from functools import partial
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import Journalled
from service.store import journal
from service.store.row_types import Quote, Seal
from service.store.seals import NO_PREVIOUS
from service.usecases.base.journal import KEPT, QUOTE, chained, of_quote, of_row
from service.usecases.keeping import daily_anchors


def faults(connection: Connection, firm_id: UUID) -> list[Iterator[Message]]:
    """What is wrong with a firm's journal and with what it notes, apart: some may be unreadable."""
    return [
        _chain_faults(connection, firm_id),
        *map(partial(_row_faults, connection, firm_id), KEPT),
        _removed(connection, firm_id),
        daily_anchors.faults(connection, firm_id),
    ]


def _chain_faults(connection: Connection, firm_id: UUID) -> Iterator[Message]:
    end = NO_PREVIOUS
    for position, row in enumerate(journal.of_firm(connection, firm_id), start=1):
        due = chained(end, kind=row["kind"], subject_id=row["subject_id"], sha256=row["sha256"])
        if (row["position"], row["chain_sha256"]) != (position, due):
            yield message("keeping.journal_broken", position=row["position"])
        end = row["chain_sha256"]


def _row_faults(connection: Connection, firm_id: UUID, kind: str) -> Iterator[Message]:
    """Rows of a kind that are not as they were noted last, were never noted, or are gone."""
    noted, thing = journal.newest(connection, firm_id=firm_id, kind=kind), Journalled(kind)
    for subject_id, row in journal.rows_of(connection, KEPT[kind], firm_id):
        known = noted.pop(subject_id, None)
        if known is None:
            yield message("keeping.never_sealed", thing=thing, subject=str(subject_id))
        elif known != of_row(kind, row):
            yield message("keeping.sealed_altered", thing=thing, subject=str(subject_id))
    for subject_id in noted:
        yield message("keeping.sealed_removed", thing=thing, subject=str(subject_id))


def _removed(connection: Connection, firm_id: UUID) -> Iterator[Message]:
    for quote_id in journal.removed_quotes(connection, firm_id):
        yield message("keeping.sealed_removed", thing=Journalled.QUOTE, subject=str(quote_id))


def quote_faults(connection: Connection, quote: Quote, seals: list[Seal]) -> Iterator[Message]:
    """Whether the seals of a quote end where the journal of its firm says."""
    noted = journal.last(connection, kind=QUOTE, subject_id=quote["id"])
    there = of_quote(quote["id"], quote["sealed"], seals[-1]["chain_sha256"]) if seals else None
    if noted != there:
        yield message("keeping.beside_the_journal")
