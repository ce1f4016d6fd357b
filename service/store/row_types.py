"""Rows as the database gives them: each column by its name and type, so that a wrong one is found unrun.

Each lies beside its table in `layout/`, and a test holds it against that. Here are all of them, and how they
are read.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, TypeVar, cast

from sqlalchemy import CursorResult

from service.store.layout.acceptances import Acceptance
from service.store.layout.certificates import (
    Certificate,
    CertificateHead,
    ChainedCertificate,
    ChainEnd,
    File,
    FileHead,
    Link,
    Standing,
    StandingHead,
    Supersession,
    Withdrawal,
)
from service.store.layout.events import Delivery, DeliveryState, Event, Subscription
from service.store.layout.firm import Crew, CrewLink, Firm, Key, KeyHead, KeyOfFirm, Version
from service.store.layout.jobs import AssignedCrew, AssignedDay, AssignedJobDay, Assignment, Job, ShortJob
from service.store.layout.keeping import Answer, Import, Journalled, KeptAnchor, Seal, WholeAnchor
from service.store.layout.quotes import (
    Client,
    Quote,
    QuoteCavity,
    QuoteHead,
    QuoteLine,
    QuoteName,
    QuoteOption,
    QuoteSummary,
    QuoteTotals,
    ShortQuote,
)
from service.store.layout.site import Concession, Entry, Photo, PhotoBase, PhotoHead, SaidEntry
from service.store.layout.stock import StockLot, StockMaterial
from service.store.layout.supplements import Supplement, SupplementCavity, SupplementLine, SupplementStep
from service.store.layout.tasks import Task, TaskFigures

__all__ = [
    "Acceptance",
    "Answer",
    "AssignedCrew",
    "AssignedDay",
    "AssignedJobDay",
    "Assignment",
    "Certificate",
    "CertificateHead",
    "ChainEnd",
    "ChainedCertificate",
    "Client",
    "Concession",
    "Crew",
    "CrewLink",
    "Delivery",
    "DeliveryState",
    "Entry",
    "Event",
    "File",
    "FileHead",
    "Firm",
    "Import",
    "Job",
    "Journalled",
    "KeptAnchor",
    "Key",
    "KeyHead",
    "KeyOfFirm",
    "Link",
    "Photo",
    "PhotoBase",
    "PhotoHead",
    "Quote",
    "QuoteCavity",
    "QuoteHead",
    "QuoteLine",
    "QuoteName",
    "QuoteOption",
    "QuoteSummary",
    "QuoteTotals",
    "SaidEntry",
    "Seal",
    "ShortJob",
    "ShortQuote",
    "Standing",
    "StandingHead",
    "StockLot",
    "StockMaterial",
    "Subscription",
    "Supersession",
    "Supplement",
    "SupplementCavity",
    "SupplementLine",
    "SupplementStep",
    "Task",
    "TaskFigures",
    "Version",
    "WholeAnchor",
    "Withdrawal",
    "every",
    "one",
    "some",
    "stream",
    "the_one",
]

Row = TypeVar("Row")


def one(_kind: type[Row], found: CursorResult[Any]) -> Row | None:
    """The only row that was found, if there is one."""
    row = found.one_or_none()
    return None if row is None else cast(Row, dict(zip(_names(found), row, strict=True)))


def the_one(_kind: type[Row], found: CursorResult[Any]) -> Row:
    """The only row that was found; there is one."""
    row = found.one()
    return cast(Row, dict(zip(_names(found), row, strict=True)))


def every(kind: type[Row], found: CursorResult[Any]) -> list[Row]:
    """All rows that were found."""
    return list(stream(kind, found))


def stream(_kind: type[Row], found: CursorResult[Any]) -> Iterator[Row]:
    """Row after row: there may be more than memory holds."""
    names = _names(found)
    for row in found:
        yield cast(Row, dict(zip(names, row, strict=True)))


def _names(found: CursorResult[Any]) -> list[str]:
    """The names of the columns as plain text: with SQLAlchemy's mark they are no keys of JSON."""
    return list(map(str, found.keys()))


def some(row: Mapping[str, Any], names: Iterable[str]) -> dict[str, Any]:
    """Some members of a row, in this order."""
    return {name: row[name] for name in names}
