"""Materials: versions of data sheets."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection

from service.engine.survey.practice import Material
from service.usecases.base.context import Context, reads, writes
from service.usecases.firm import dated


@reads
def listed(connection: Connection, context: Context) -> Mapping[str, Any]:
    """Every version, oldest first."""
    return dated.listed(connection, context, "materials")


@writes
def put(connection: Connection, context: Context, code: str, body: Mapping[str, Any]) -> Mapping[str, Any]:
    """Add a version of a data sheet."""
    sheet = dict(body)
    day = sheet.pop("in_force_from")
    return dated.put(
        connection,
        context,
        "materials",
        Material,
        code=code,
        in_force_from=day,
        data={**sheet, "code": code},
    )
