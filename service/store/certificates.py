"""Certificates: issued once, then only added to."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Connection, Select, and_, func, select
from sqlalchemy.dialects import postgresql, sqlite

from service.store.row_types import (
    Certificate,
    CertificateHead,
    ChainedCertificate,
    ChainEnd,
    Standing,
    StandingHead,
    Supersession,
    Withdrawal,
    every,
    one,
    stream,
)
from service.store.tables import (
    certificates,
    clients,
    files,
    firms,
    imports,
    jobs,
    supersessions,
    withdrawals,
)

_WITHOUT_RECORD = [column for column in certificates.c if column is not certificates.c.record]


def add(connection: Connection, certificate: Mapping[str, Any]) -> None:
    """Add a certificate."""
    connection.execute(certificates.insert().values(**certificate))


def supersede(connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
    """Let certificates be superseded by another; none is no fault."""
    if rows:
        connection.execute(supersessions.insert(), list(rows))


def _with_state(*columns: ColumnElement[Any]) -> Select[Any]:
    """Certificates, of these columns or all, with their files' digests and what has become of them since."""
    newer = certificates.alias("newer")
    file = and_(files.c.kind == "certificate", files.c.owner_id == certificates.c.id)
    return (
        select(
            *(columns or certificates.c),
            firms.c.code.label("firm_code"),
            firms.c.data.label("firm"),
            newer.c.number.label("superseded_by"),
            newer.c.issued_at.label("superseded_at"),
            withdrawals.c.reason.label("withdrawal_reason"),
            withdrawals.c.withdrawn_at,
            files.c.sha256.label("file_sha256"),
            # What was erased before its file was made gets none any more.
            func.coalesce(files.c.erased_at, clients.c.erased_at).label("file_erased_at"),
        )
        .join(firms, firms.c.id == certificates.c.firm_id)
        .outerjoin(supersessions, supersessions.c.certificate_id == certificates.c.id)
        .outerjoin(newer, newer.c.id == supersessions.c.superseded_by)
        .outerjoin(withdrawals, withdrawals.c.certificate_id == certificates.c.id)
        .outerjoin(files, file)
        .join(jobs, jobs.c.id == certificates.c.job_id)
        .join(clients, clients.c.quote_id == jobs.c.quote_id)
    )


def by_id(connection: Connection, *, firm_id: UUID, certificate_id: UUID) -> Standing | None:
    """A firm's certificate and its state."""
    found = connection.execute(
        _with_state().where(certificates.c.id == certificate_id, certificates.c.firm_id == firm_id)
    )
    return one(Standing, found)


def firm_of_number(connection: Connection, number: str) -> UUID | None:
    """Whose certificate a number is."""
    found = connection.execute(select(certificates.c.firm_id).where(certificates.c.number == number))
    return found.scalar_one_or_none()


def id_by_number(connection: Connection, *, firm_id: UUID, number: str) -> UUID | None:
    """The id of a firm's certificate by its number."""
    mine = (certificates.c.firm_id == firm_id, certificates.c.number == number)
    return connection.execute(select(certificates.c.id).where(*mine)).scalar_one_or_none()


def by_number(connection: Connection, number: str) -> Standing | None:
    """Anybody's certificate by its number: what the public page asks."""
    return one(Standing, connection.execute(_with_state().where(certificates.c.number == number)))


def in_force(connection: Connection, job_id: UUID) -> list[CertificateHead]:
    """A job's certificates that are neither superseded nor withdrawn, without their records."""
    rows = connection.execute(
        select(*_WITHOUT_RECORD)
        .outerjoin(supersessions, supersessions.c.certificate_id == certificates.c.id)
        .outerjoin(withdrawals, withdrawals.c.certificate_id == certificates.c.id)
        .where(
            certificates.c.job_id == job_id,
            supersessions.c.certificate_id.is_(None),
            withdrawals.c.certificate_id.is_(None),
        )
        .order_by(certificates.c.position)
    )
    return every(CertificateHead, rows)


def chain_end(connection: Connection, firm_id: UUID) -> ChainEnd | None:
    """The place and the chain's digest of the firm's latest certificate; none before the first."""
    found = connection.execute(
        select(certificates.c.position, certificates.c.chain_sha256)
        .where(certificates.c.firm_id == firm_id)
        .order_by(certificates.c.position.desc())
        .limit(1)
    )
    return one(ChainEnd, found)


def chain_at(connection: Connection, firm_id: UUID, position: int) -> str | None:
    """The chain's digest at a place of a firm's chain; none where no certificate is there."""
    found = select(certificates.c.chain_sha256).where(
        certificates.c.firm_id == firm_id, certificates.c.position == position
    )
    return connection.execute(found).scalar_one_or_none()


def chain(connection: Connection, firm_id: UUID) -> Iterator[ChainedCertificate]:
    """Every certificate of a firm in the order of issue, without its record, and whether it was imported."""
    statement = (
        select(*_WITHOUT_RECORD, imports.c.quote_id.is_not(None).label("imported"))
        .outerjoin(jobs, jobs.c.id == certificates.c.job_id)
        .outerjoin(imports, imports.c.quote_id == jobs.c.quote_id)
        .where(certificates.c.firm_id == firm_id)
        .order_by(certificates.c.position)
    )
    yield from stream(ChainedCertificate, connection.execute(statement.execution_options(yield_per=1000)))


def neighbour(
    connection: Connection, certificate: Mapping[str, Any], *, after: bool
) -> CertificateHead | None:
    """The certificate before or after one in the firm's chain, without its record."""
    place, own = certificates.c.position, certificate["position"]
    found = connection.execute(
        select(*_WITHOUT_RECORD)
        .where(certificates.c.firm_id == certificate["firm_id"], place > own if after else place < own)
        .order_by(place if after else place.desc())
        .limit(1)
    )
    return one(CertificateHead, found)


def listed(connection: Connection, job_id: UUID) -> list[StandingHead]:
    """A job's certificates and their states, without their records, in the order of issue."""
    rows = connection.execute(
        _with_state(*_WITHOUT_RECORD).where(certificates.c.job_id == job_id).order_by(certificates.c.position)
    )
    return every(StandingHead, rows)


def of_job(connection: Connection, job_id: UUID) -> list[Certificate]:
    """A job's certificates in the order of issue."""
    rows = connection.execute(select(certificates).where(certificates.c.job_id == job_id))
    # Not by the database, which would copy their records to sort them.
    return sorted(every(Certificate, rows), key=lambda row: row["position"])


def ids_of(connection: Connection, job_id: UUID) -> list[UUID]:
    """The ids of a job's certificates."""
    found = select(certificates.c.id).where(certificates.c.job_id == job_id)
    return list(connection.execute(found).scalars())


def withdrawals_of_job(connection: Connection, job_id: UUID) -> list[Withdrawal]:
    """The withdrawals of a job's certificates."""
    rows = connection.execute(
        select(withdrawals)
        .join(certificates, certificates.c.id == withdrawals.c.certificate_id)
        .where(certificates.c.job_id == job_id)
        .order_by(certificates.c.position)
    )
    return every(Withdrawal, rows)


def supersessions_of_job(connection: Connection, job_id: UUID) -> list[Supersession]:
    """Which of a job's certificates were superseded, and by which."""
    rows = connection.execute(
        select(supersessions)
        .join(certificates, certificates.c.id == supersessions.c.certificate_id)
        .where(certificates.c.job_id == job_id)
        .order_by(certificates.c.position)
    )
    return every(Supersession, rows)


def withdraw(connection: Connection, withdrawal: Mapping[str, Any]) -> bool:
    """Withdraw a certificate; its record stays. False when somebody else was faster."""
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    insert = dialect.insert(withdrawals).values(**withdrawal).on_conflict_do_nothing()
    return connection.execute(insert.returning(withdrawals.c.certificate_id)).first() is not None
