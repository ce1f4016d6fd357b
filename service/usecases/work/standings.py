"""What the public may know of a certificate: whether it stands, and by which digests."""

import json
import re
from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import NotKnown
from service.store import certificates
from service.store.row_types import StandingHead
from service.store.session import reveal
from service.usecases.base.context import Context, reads
from service.usecases.work.states import added_to_at

NUMBER = re.compile(r"[A-Z0-9]+-[0-9]{4}-[0-9]{5,}")


@reads
def standing(connection: Connection, _context: Context, number: str) -> Mapping[str, Any]:
    """What the public may know of a number: whether it stands, its file's digest and how that is signed."""
    firm_id = _firm_of_number(connection, number) if NUMBER.fullmatch(number) else None
    if firm_id is None:
        raise NotKnown(message("certificates.no_such_number"))
    reveal(connection, firm=firm_id)
    certificate = certificates.by_number(connection, number)
    assert certificate is not None
    zone = certificate["firm"].get("time_zone")
    signature = json.loads(bytes(certificate["record"]))["signature"]
    return {**public_view(connection, certificate), "signature": signature, "time_zone": zone or "UTC"}


def _firm_of_number(connection: Connection, number: str) -> UUID | None:
    reveal(connection, number=number)
    return certificates.firm_of_number(connection, number)


def public_view(connection: Connection, certificate: StandingHead) -> dict[str, Any]:
    """A certificate without anything of the client: number, state, outcome, digests."""
    return {
        "added_to_at": added_to_at(connection, certificate),
        "number": certificate["number"],
        "state": state_of(certificate),
        "issued_at": certificate["issued_at"],
        "issued_by": certificate["firm"]["name"],
        "superseded_by": certificate["superseded_by"],
        "superseded_at": certificate["superseded_at"],
        "withdrawn_at": certificate["withdrawn_at"],
        "outcome": certificate["outcome"],
        "record_sha256": certificate["record_sha256"],
        "file_sha256": certificate["file_sha256"],
        "file_erased_at": certificate["file_erased_at"],
    }


def state_of(certificate: Mapping[str, Any]) -> str:
    """A certificate that was withdrawn stays so, whatever came after it."""
    if certificate["withdrawn_at"]:
        return "withdrawn"
    return "superseded" if certificate["superseded_by"] else "in_force"
