"""Certificates: issued once, then only added to."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping, Select, select

from service.store.tables import certificates, firms, withdrawals

NO_PREVIOUS = "0" * 64


def add(connection: Connection, certificate: Mapping[str, Any]) -> None:
    """Add a certificate."""
    connection.execute(certificates.insert().values(**certificate))


def _with_state() -> Select[Any]:
    """Certificates with what has become of them since."""
    newer = certificates.alias("newer")
    return (
        select(
            certificates,
            firms.c.code.label("firm_code"),
            firms.c.data.label("firm"),
            newer.c.number.label("superseded_by"),
            newer.c.issued_at.label("superseded_at"),
            withdrawals.c.reason.label("withdrawal_reason"),
            withdrawals.c.withdrawn_at,
        )
        .join(firms, firms.c.id == certificates.c.firm_id)
        .outerjoin(newer, newer.c.supersedes == certificates.c.id)
        .outerjoin(withdrawals, withdrawals.c.certificate_id == certificates.c.id)
    )


def by_id(connection: Connection, *, firm_id: UUID, certificate_id: UUID) -> RowMapping | None:
    """A firm's certificate and its state."""
    found = connection.execute(
        _with_state().where(certificates.c.id == certificate_id, certificates.c.firm_id == firm_id)
    )
    return found.mappings().one_or_none()


def firm_of_number(connection: Connection, number: str) -> UUID | None:
    """Whose certificate a number is."""
    found = connection.execute(select(certificates.c.firm_id).where(certificates.c.number == number))
    return found.scalar_one_or_none()


def by_number(connection: Connection, number: str) -> RowMapping | None:
    """Anybody's certificate by its number: what the public page asks."""
    return connection.execute(_with_state().where(certificates.c.number == number)).mappings().one_or_none()


def latest_of_job(connection: Connection, job_id: UUID) -> RowMapping | None:
    """The certificate that a new one of this job would supersede."""
    found = connection.execute(
        select(certificates)
        .where(certificates.c.job_id == job_id)
        .order_by(certificates.c.year.desc(), certificates.c.serial.desc())
        .limit(1)
    )
    return found.mappings().one_or_none()


def chain_end(connection: Connection, firm_id: UUID) -> str:
    """The chain digest of the firm's latest certificate; zeros before the first."""
    found = connection.execute(
        select(certificates.c.chain_sha256)
        .where(certificates.c.firm_id == firm_id)
        .order_by(certificates.c.year.desc(), certificates.c.serial.desc())
        .limit(1)
    )
    return found.scalar_one_or_none() or NO_PREVIOUS


def chain(connection: Connection, firm_id: UUID) -> list[RowMapping]:
    """Every certificate of a firm in the order of issue."""
    rows = connection.execute(
        select(certificates)
        .where(certificates.c.firm_id == firm_id)
        .order_by(certificates.c.year, certificates.c.serial)
    )
    return list(rows.mappings())


def withdraw(connection: Connection, withdrawal: Mapping[str, Any]) -> None:
    """Withdraw a certificate; its record stays."""
    connection.execute(withdrawals.insert().values(**withdrawal))
