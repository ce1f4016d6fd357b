"""Whether the days on which crews see a job are those of its last assignment, which is sealed."""

from collections.abc import Iterator
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import Message, message
from service.store import crews, imports


def assigned_faults(connection: Connection, firm_id: UUID) -> Iterator[Message]:
    """Each job of a firm that is kept for other days or crews than were said last.

    The crews of a job that was imported are not here, and so neither are its days.
    """
    kept = crews.kept_days(connection, firm_id)
    for job, days in crews.said_last(connection, firm_id):
        said = {(each["day"], each["crew"]) for each in days}
        there = kept.pop(job["id"], set())
        if there != said and (there or not imports.of_quote(connection, job["quote_id"])):
            yield message("keeping.assigned_differs", job=job["number"])
    for job_id in kept:
        yield message("keeping.assigned_differs", job=str(job_id))
