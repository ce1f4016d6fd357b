"""Rows as the store's functions take them; a keyword takes the place of any column."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import count
from typing import Any
from uuid import UUID, uuid4

from sqlalchemy import Connection, Engine, text
from uuid6 import uuid7

from service.store import clients, crews, entries, firms, jobs, keys, quotes
from service.store.finding import least_id
from service.store.session import writing
from tests.api import NOW

DIGEST = "0" * 64
LATER = NOW + timedelta(hours=1)
TODAY = date(2026, 11, 25)
PERSON = {"name": "A client"}
_numbers = count(1)


def firm(connection: Connection) -> UUID:
    """A firm of its own."""
    return firms.add(connection, code=f"f-{uuid4().hex[:8]}", data={"name": "A firm"}, now=NOW)


def key(connection: Connection, firm_id: UUID, **columns: Any) -> UUID:
    """An access key of a firm."""
    row = {"prefix": uuid4().hex[:12], "digest": DIGEST, "roles": ["office"], "label": "A key", "now": NOW}
    return keys.add(connection, firm_id=firm_id, **{**row, **columns})


def cavity(label: str, **columns: Any) -> dict[str, Any]:
    """A cavity of a quote, but for the quote and its place there."""
    row = {
        "option": "1",
        "element": "wall",
        "mass_kg": 1.5,
        "surveyed": {},
        "planned": {},
        "count": 1,
        "single": None,
        "line": {},
    }
    return {"label": label, **row, **columns}


def _made() -> UUID:
    """An id made when the rows say that they were, each after the one before."""
    return UUID(int=least_id(NOW).int + next(_numbers))


def quote(connection: Connection, firm_id: UUID, *labels: str, **columns: Any) -> UUID:
    """A draft with its client and a cavity for each label; in another state it is put afterwards."""
    row = {
        "id": _made(),
        "firm_id": firm_id,
        "number": None,
        "revision": 1,
        "reference": "SO-1",
        "state": "draft",
        "version": 1,
        "body": {},
        "basis": {},
        "summary": {},
        "short": {},
        "currency": "EUR",
        "total": Decimal("12.50"),
        "created_at": NOW,
        "updated_at": NOW,
        "sealed": 0,
    }
    quotes.add(connection, row, [cavity(label) for label in labels or ("W1",)])
    clients.add(connection, {"quote_id": row["id"], "data": PERSON, "salt": "5" * 32, "sha256": DIGEST})
    if columns:
        quotes.update(connection, row["id"], columns)
    return row["id"]


def job(connection: Connection, firm_id: UUID, **columns: Any) -> UUID:
    """A job of a quote of its own."""
    quote_id = columns.pop("quote_id", None) or quote(connection, firm_id)
    row = {"id": _made(), "number": f"J-{uuid4().hex[:8]}", "state": "open", "created_at": NOW, **columns}
    jobs.add(connection, {**row, "firm_id": firm_id, "quote_id": quote_id})
    return row["id"]


def crew(connection: Connection, firm_id: UUID, name: str = "North") -> UUID:
    """A crew."""
    crew_id = uuid7()
    crews.add(connection, {"id": crew_id, "firm_id": firm_id, "name": name, "created_at": NOW})
    return crew_id


class Site:
    """A firm with a key and a job, to which rows are added."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.firm_id = firm(connection)
        self.key_id = key(connection, self.firm_id)
        self.job_id = job(connection, self.firm_id)

    @property
    def owned(self) -> dict[str, UUID]:
        """Whose a row of the job is."""
        return {"firm_id": self.firm_id, "job_id": self.job_id, "key_id": self.key_id}

    def entry(self, position: int, kind: str = "note", **columns: Any) -> UUID:
        """An entry of the ledger."""
        row = {
            "id": uuid4(),
            "position": position,
            "kind": kind,
            "happened_at": NOW,
            "offset_min": 60,
            "by": "A hand",
            "received_at": LATER,
            "data": {},
            "corrects": None,
            **columns,
        }
        entries.add_all(self.connection, [{**self.owned, **row}])
        return row["id"]


def moment(hours: float) -> datetime:
    """So many hours after the beginning of the tests' day."""
    return NOW + timedelta(hours=hours)


@contextmanager
def impatient(database: Engine) -> Iterator[Connection]:
    """A transaction that writes and raises Unavailable where it would have to wait for another."""
    with writing(database, waits=False) as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SET LOCAL lock_timeout = '20ms'"))
        yield connection
