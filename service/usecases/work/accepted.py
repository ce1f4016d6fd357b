"""Who accepted what was offered or refused it, as it is kept and answered: on a link, or told the office."""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.store import acceptances
from service.store.row_types import Acceptance, some
from service.usecases.base.context import NOBODY, Context
from service.usecases.base.seals import of_rows, seal
from service.usecases.work.clients import digest


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What is said by who accepts: his name, how it reached the office, and the document before him."""

    by: str
    accepted_by: str
    how: str | None = None
    document_sha256: str | None = None
    option: str | None = None
    link_id: UUID | None = None

    @property
    def data(self) -> dict[str, str | None]:
        """What is erased with the client."""
        return {"accepted_by": self.accepted_by, "how": self.how}


@dataclass(frozen=True, slots=True, kw_only=True)
class Declined:
    """What is said by a client who refuses on a link: his name, why, and the document before him."""

    refused_by: str
    reason: str | None
    document_sha256: str
    link_id: UUID
    by: str = "client"
    option: str | None = None

    @property
    def data(self) -> dict[str, str | None]:
        """What is erased with the client: his own words too."""
        return {"refused_by": self.refused_by, "reason": self.reason}


def keep(
    connection: Connection,
    context: Context,
    said: Said | Declined,
    *,
    kind: str,
    owner_id: UUID,
    quote_id: UUID,
) -> Acceptance:
    """Keep who accepted what is `owner_id`, or refused it, and seal it in the quote's chain."""
    data, salt = said.data, secrets.token_hex(16)
    assert context.caller is not None
    key_id = context.caller.key_id
    row: Acceptance = {
        "owner_id": owner_id,
        "firm_id": context.firm_id,
        "quote_id": quote_id,
        "kind": kind,
        "by": said.by,
        "data": data,
        "salt": salt,
        "sha256": digest(salt, data),
        "document_sha256": said.document_sha256,
        "option": said.option,
        "said_at": context.now,
        "link_id": said.link_id,
        "key_id": None if key_id == NOBODY else key_id,
        "erased_at": None,
    }
    acceptances.add(connection, row)
    seal(connection, quote_id, of_rows("acceptance", [row]))
    return row


def accepted_by(row: Acceptance) -> dict[str, Any]:
    """An acceptance as it is answered; who and how are gone once they were erased."""
    data: Mapping[str, str | None] = row["data"] or {}
    return {
        **some(row, ("by", "document_sha256", "option")),
        "accepted_at": row["said_at"],
        "accepted_by": data.get("accepted_by"),
        "how": data.get("how"),
    }


def refused_by(row: Acceptance) -> dict[str, Any]:
    """A refusal as it is answered; who and why are gone once they were erased."""
    data: Mapping[str, str | None] = row["data"] or {}
    return {
        "document_sha256": row["document_sha256"],
        "refused_at": row["said_at"],
        "refused_by": data.get("refused_by"),
        "reason": data.get("reason"),
    }
