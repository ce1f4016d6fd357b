"""Supplements of jobs, their cavities and their steps: only ever added to."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Table, select

from service.store.row_types import (
    Supplement,
    SupplementCavity,
    SupplementLine,
    SupplementStep,
    every,
    one,
)
from service.store.tables import jobs, supplement_cavities, supplement_steps, supplements


def add(connection: Connection, supplement: Mapping[str, Any], cavities: Sequence[Mapping[str, Any]]) -> None:
    """Add a supplement and its cavities, in two statements however many there are."""
    connection.execute(supplements.insert().values(**supplement))
    if cavities:
        connection.execute(supplement_cavities.insert(), list(cavities))


def take(connection: Connection, step: Mapping[str, Any]) -> None:
    """Add a step."""
    connection.execute(supplement_steps.insert().values(**step))


def of_jobs(connection: Connection, job_ids: Collection[UUID]) -> list[Supplement]:
    """The supplements of these jobs, each job's in the order they were proposed."""
    statement = select(supplements).where(supplements.c.job_id.in_(job_ids))
    ordered = statement.order_by(supplements.c.job_id, supplements.c.serial)
    return every(Supplement, connection.execute(ordered))


def of_quote(connection: Connection, quote_id: UUID) -> list[Supplement]:
    """The supplements of the job that a quote became, in the order they were proposed."""
    statement = select(supplements).join(jobs, jobs.c.id == supplements.c.job_id)
    found = statement.where(jobs.c.quote_id == quote_id).order_by(supplements.c.serial)
    return every(Supplement, connection.execute(found))


def quotes_with(connection: Connection, quote_ids: Collection[UUID]) -> set[UUID]:
    """Of these quotes those whose jobs have supplements."""
    statement = select(jobs.c.quote_id).join(supplements, supplements.c.job_id == jobs.c.id)
    return set(connection.execute(statement.where(jobs.c.quote_id.in_(quote_ids))).scalars())


def step(connection: Connection, *, firm_id: UUID, step_id: UUID) -> SupplementStep | None:
    """A step of a firm's supplement."""
    mine = supplement_steps.c.firm_id == firm_id
    found = connection.execute(select(supplement_steps).where(supplement_steps.c.id == step_id, mine))
    return one(SupplementStep, found)


def steps_of(connection: Connection, job_ids: Collection[UUID]) -> list[SupplementStep]:
    """The steps of all supplements of these jobs, each supplement's in the order they were taken."""
    statement = select(supplement_steps).where(supplement_steps.c.job_id.in_(job_ids))
    return every(SupplementStep, connection.execute(_in_order(statement, supplement_steps)))


def cavities_of(
    connection: Connection, job_id: UUID, labels: Collection[str] | None = None
) -> list[SupplementCavity]:
    """The cavities of all supplements of a job, each supplement's in the order they were sent.

    All of them, or those with these labels.
    """
    statement = select(supplement_cavities).where(supplement_cavities.c.job_id == job_id)
    if labels is not None:
        statement = statement.where(supplement_cavities.c.label.in_(labels))
    return every(SupplementCavity, connection.execute(_in_order(statement, supplement_cavities)))


def lines_of(connection: Connection, job_ids: Collection[UUID]) -> list[SupplementLine]:
    """The lines of the cavities of all supplements of these jobs, and none of their working."""
    names = ("job_id", "supplement_id", "label", "count", "line", "single_line")
    statement = select(*(supplement_cavities.c[name] for name in names))
    mine = statement.where(supplement_cavities.c.job_id.in_(job_ids))
    return every(SupplementLine, connection.execute(_in_order(mine, supplement_cavities)))


def _in_order(statement: Any, table: Table) -> Any:
    return statement.order_by(table.c.job_id, table.c.supplement_id, table.c.position)
