"""Practice profiles: what the firm works by."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection

from service.engine.survey.practice import Practice
from service.usecases.base.context import Context, reads, writes
from service.usecases.firm import dated


@reads
def listed(connection: Connection, context: Context) -> Mapping[str, Any]:
    """Every version, oldest first."""
    return dated.listed(connection, context, "practices")


@writes
def add(connection: Connection, context: Context, body: Mapping[str, Any]) -> Mapping[str, Any]:
    """Add a version of a profile."""
    profile = dict(body)
    day = profile.pop("in_force_from")
    return dated.add(
        connection, context, "practices", Practice, code=body["code"], in_force_from=day, data=profile
    )
