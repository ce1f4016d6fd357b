"""What is told of certificates: issued, superseded, withdrawn."""

from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.vocabulary import EventKind
from service.store.row_types import Job
from service.usecases.base.context import Context
from service.usecases.base.events import EventData, tell

TOLD = {
    "in_force": EventKind.CERTIFICATE_ISSUED,
    "superseded": EventKind.CERTIFICATE_SUPERSEDED,
    "withdrawn": EventKind.CERTIFICATE_WITHDRAWN,
}
"""What is told of a certificate that has come into a state."""


def tell_of(
    connection: Connection,
    context: Context,
    job: Job,
    certificate_id: UUID,
    state: str,
    superseded_by: UUID | None = None,
) -> None:
    """Tell what has become of a certificate; last in its transaction."""
    told = EventData(
        state=state,
        quote_id=job["quote_id"],
        job_id=job["id"],
        certificate_id=certificate_id,
        superseded_by=superseded_by,
    )
    tell(connection, context, TOLD[state], certificate_id, told)
