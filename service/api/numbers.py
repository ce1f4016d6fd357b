"""Ids in addresses: a UUID, or a number for people, which a view is given the UUID of."""

import re
from collections.abc import Mapping
from typing import Any
from uuid import UUID

from flask import request
from werkzeug.routing import BaseConverter

from service.api import auth
from service.engine.ground.messages import message
from service.errors import NotKnown
from service.usecases.work import numbers

UUID_FORM = "[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{12}"
NUMBER_FORM = "[A-Za-z0-9-]{1,40}-[0-9]{4}-[0-9]{4,9}"
SCHEMA = {"anyOf": [{"type": "string", "format": "uuid"}, {"type": "string", "pattern": f"^{NUMBER_FORM}$"}]}
NUMBERED = {"quote_id": "quote", "job_id": "job", "certificate_id": "certificate"}


class Id(BaseConverter):
    """An id or a number for people."""

    regex = f"{UUID_FORM}|{NUMBER_FORM}"

    def to_python(self, value: str) -> UUID | str:
        """The UUID; a number as it is."""
        return UUID(value) if re.fullmatch(UUID_FORM, value) else value

    def to_url(self, value: Any) -> str:
        """The same as it stands in an address."""
        return str(value)


def resolved(named: Mapping[str, Any]) -> Mapping[str, Any]:
    """What a view is called with: ids in the place of numbers; raises NotKnown for one that there is not."""
    if not request.environ.get("QUERY_STRING") and all(isinstance(value, UUID) for value in named.values()):
        return named
    return {
        name: _id(name, value) if isinstance(value, str | UUID) and name.endswith("_id") else value
        for name, value in named.items()
    }


def _id(name: str, value: UUID | str) -> UUID:
    kind = NUMBERED.get(name)
    revision = _revision() if kind == "quote" else None
    if isinstance(value, UUID):
        return value if revision is None else numbers.revision_of(auth.context(), value, revision)
    if kind is None:
        raise NotKnown(message("api.nothing_here"))
    return numbers.id_of(auth.context(), kind, value, revision)


def _revision() -> int | None:
    """The revision that is asked for; one that cannot be is left to the route's schema, which refuses it."""
    asked = request.args.get("revision", "")
    return int(asked) if re.fullmatch("[0-9]{1,4}", asked) else None
