"""Build-ups: the firm's library of layers, by version."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection

from service.engine.survey.build_up import BuildUp
from service.usecases.base.context import Context, reads, writes
from service.usecases.firm import dated


@reads
def listed(connection: Connection, context: Context) -> Mapping[str, Any]:
    """Every version, oldest first."""
    return dated.listed(connection, context, "build_ups")


@writes
def put(connection: Connection, context: Context, code: str, body: Mapping[str, Any]) -> Mapping[str, Any]:
    """Add a version of a build-up."""
    built = dict(body)
    day = built.pop("in_force_from")
    return dated.put(
        connection,
        context,
        "build_ups",
        BuildUp,
        code=code,
        in_force_from=day,
        data={**built, "code": code},
    )
