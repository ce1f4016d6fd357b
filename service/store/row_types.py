"""Rows as the database gives them: each column by its name and type, so that a wrong one is found unrun.

A test holds them against the tables.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any, TypedDict, TypeVar, cast
from uuid import UUID

from sqlalchemy import CursorResult

Row = TypeVar("Row")


def one(_kind: type[Row], found: CursorResult[Any]) -> Row | None:
    """The only row that was found, if there is one."""
    row = found.mappings().one_or_none()
    return None if row is None else cast(Row, dict(row))


def the_one(_kind: type[Row], found: CursorResult[Any]) -> Row:
    """The only row that was found; there is one."""
    return cast(Row, dict(found.mappings().one()))


def every(kind: type[Row], found: CursorResult[Any]) -> list[Row]:
    """All rows that were found."""
    return list(stream(kind, found))


def stream(_kind: type[Row], found: CursorResult[Any]) -> Iterator[Row]:
    """Row after row: there may be more than memory holds."""
    for row in found.mappings():
        yield cast(Row, dict(row))


def some(row: Mapping[str, Any], names: Iterable[str]) -> dict[str, Any]:
    """Some members of a row, in this order."""
    return {name: row[name] for name in names}


class Firm(TypedDict):
    """A row of `firms`."""

    id: UUID
    code: str
    data: Any
    created_at: datetime


class Crew(TypedDict):
    """A row of `crews`."""

    id: UUID
    firm_id: UUID
    name: str
    created_at: datetime


class KeyHead(TypedDict):
    """A key without its digest."""

    id: UUID
    firm_id: UUID
    crew_id: UUID | None
    prefix: str
    label: str
    roles: list[str]
    created_at: datetime
    last_used_at: datetime | None
    revoked_at: datetime | None
    first_id: UUID | None


class Key(KeyHead):
    """A row of `keys`."""

    digest: str


class KeyOfFirm(KeyHead):
    """A key without its digest, with its firm's code."""

    firm: str


class CrewLink(TypedDict):
    """A crew's key, as far as it may be shown."""

    id: UUID
    crew_id: UUID
    prefix: str
    created_at: datetime
    last_used_at: datetime | None


class Version(TypedDict):
    """A row of `materials`, `price_lists`, `lances` or `practices`."""

    id: UUID
    firm_id: UUID
    code: str
    in_force_from: date
    data: Any
    created_at: datetime


class QuoteName(TypedDict):
    """A quote, whose it is and its number."""

    id: UUID
    firm_id: UUID
    number: str | None


class QuoteHead(TypedDict):
    """A quote with what there still is of its client, without what it was worked out from and to."""

    id: UUID
    firm_id: UUID
    number: str | None
    reference: str
    state: str
    version: int
    body: Any
    currency: str
    total: Decimal
    created_at: datetime
    updated_at: datetime
    offered_at: datetime | None
    valid_until: date | None
    accepted_at: datetime | None
    withdrawn_at: datetime | None
    sealed: int
    client: Any
    client_sha256: str
    client_erased_at: datetime | None


class Quote(QuoteHead):
    """A row of `quotes` with what there still is of its client."""

    basis: Any
    summary: Any


class QuoteTotals(QuoteHead):
    """A quote with its totals."""

    summary: Any


class QuoteSummary(QuoteTotals):
    """A quote with its totals, and how many parts it has."""

    parts: int


class QuoteCavity(TypedDict):
    """A row of `quote_cavities`."""

    quote_id: UUID
    position: int
    label: str
    element: str
    mass_kg: float
    surveyed: Any
    planned: Any
    count: int
    single: Any
    line: Any
    single_line: Any


class QuoteLine(TypedDict):
    """A cavity as a short answer reads it."""

    label: str
    count: int
    line: Any
    single_line: Any


class Client(TypedDict):
    """A row of `clients`."""

    quote_id: UUID
    data: Any
    salt: str | None
    sha256: str
    erased_at: datetime | None
    reason: str | None
    key_id: UUID | None


class Seal(TypedDict):
    """A row of `seals`."""

    quote_id: UUID
    position: int
    kind: str
    subject: str
    sha256: str
    chain_sha256: str


class Import(TypedDict):
    """A row of `imports`."""

    quote_id: UUID
    chain: Any
    imported_at: datetime


class Job(TypedDict):
    """A row of `jobs`."""

    id: UUID
    firm_id: UUID
    quote_id: UUID
    number: str
    state: str
    moved_on_at: datetime | None
    created_at: datetime


class Assignment(TypedDict):
    """A row of `assignments`."""

    id: UUID
    firm_id: UUID
    job_id: UUID
    days: Any
    assigned_at: datetime
    key_id: UUID


class AssignedDay(TypedDict):
    """A day of a job's assignment, with its crew."""

    day: date
    crew_id: UUID
    name: str


class AssignedJobDay(AssignedDay):
    """The same, and which job it is."""

    job_id: UUID


class Entry(TypedDict):
    """A row of `entries`."""

    id: UUID
    firm_id: UUID
    job_id: UUID
    position: int
    kind: str
    happened_at: datetime
    offset_min: int
    by: str
    received_at: datetime
    key_id: UUID
    data: Any
    corrects: UUID | None


class PhotoBase(TypedDict):
    """What is known of a photo."""

    job_id: UUID
    id: UUID
    firm_id: UUID
    sha256: str
    sent_sha256: str
    cavity: str | None
    caption: str | None
    width_px: int
    height_px: int
    taken_at: datetime | None
    latitude: float | None
    longitude: float | None
    place_sha256: str | None
    received_at: datetime
    key_id: UUID
    erased_at: datetime | None


class PhotoHead(PhotoBase):
    """A photo without its content."""

    size_bytes: int | None


class Photo(PhotoBase):
    """A row of `photos`."""

    content: bytes | None


class Concession(TypedDict):
    """A row of `concessions`."""

    id: UUID
    firm_id: UUID
    job_id: UUID
    condition: str
    cavity: str | None
    subjects: list[str]
    reason: str
    granted_by: str
    granted_at: datetime
    key_id: UUID


class CertificateHead(TypedDict):
    """A certificate without its record."""

    id: UUID
    firm_id: UUID
    job_id: UUID
    position: int
    year: int
    serial: int
    number: str
    issued_at: datetime
    record_sha256: str
    previous_sha256: str
    chain_sha256: str
    ledger_position: int
    outcome: Any
    key_id: UUID


class Certificate(CertificateHead):
    """A row of `certificates`."""

    record: bytes


class ChainedCertificate(CertificateHead):
    """A certificate without its record, and whether it was imported."""

    imported: bool


class ChainEnd(TypedDict):
    """Where a firm's chain of certificates ends."""

    position: int
    chain_sha256: str


class StandingHead(CertificateHead):
    """A certificate without its record, and what has become of it."""

    firm_code: str
    firm: Any
    superseded_by: str | None
    superseded_at: datetime | None
    withdrawal_reason: str | None
    withdrawn_at: datetime | None
    file_sha256: str | None
    file_erased_at: datetime | None


class Standing(StandingHead):
    """A certificate with its record, and what has become of it."""

    record: bytes


class Supersession(TypedDict):
    """A row of `supersessions`."""

    certificate_id: UUID
    superseded_by: UUID


class Withdrawal(TypedDict):
    """A row of `withdrawals`."""

    certificate_id: UUID
    reason: str
    withdrawn_at: datetime
    key_id: UUID


class File(TypedDict):
    """A row of `files`."""

    kind: str
    owner_id: UUID
    sha256: str
    content: bytes | None
    created_at: datetime
    erased_at: datetime | None


class Link(TypedDict):
    """A row of `links`."""

    id: UUID
    firm_id: UUID
    kind: str
    owner_id: UUID
    expires_at: datetime
    created_at: datetime
    revoked_at: datetime | None


class Answer(TypedDict):
    """A row of `answers`."""

    key_id: UUID
    idempotency_key: str
    request_sha256: str
    answer: Any
    created_at: datetime
