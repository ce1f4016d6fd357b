"""A number for people works wherever an id does; of a quote it is the latest revision, or the one named."""

from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import NotKnown
from service.store import certificates, jobs, quotes
from service.usecases.base.context import Context, loads

NOT_KNOWN = {
    "quote": message("quotes.not_known"),
    "job": message("jobs.not_known"),
    "certificate": message("certificates.not_known"),
}


@loads
def id_of(
    connection: Connection, context: Context, kind: str, number: str, revision: int | None = None
) -> UUID:
    """The id of the firm's thing of a kind by its number; raises NotKnown when there is none."""
    found = _find(connection, context.firm_id, kind, number, revision)
    if found is None:
        raise NotKnown(NOT_KNOWN[kind])
    return found


@loads
def revision_of(connection: Connection, context: Context, quote_id: UUID, revision: int) -> UUID:
    """The id of another revision of an offer, or of the same."""
    quote = quotes.by_id(connection, firm_id=context.firm_id, quote_id=quote_id)
    if quote and quote["number"]:
        found = _find(connection, context.firm_id, "quote", quote["number"], revision)
        if found:
            return found
    raise NotKnown(NOT_KNOWN["quote"])


def _find(connection: Connection, firm_id: UUID, kind: str, number: str, revision: int | None) -> UUID | None:
    if kind == "quote":
        return quotes.id_by_number(connection, firm_id=firm_id, number=number, revision=revision)
    if kind == "job":
        job = jobs.by_number(connection, firm_id=firm_id, number=number)
        return job["id"] if job else None
    return certificates.id_by_number(connection, firm_id=firm_id, number=number)
