"""What quotes and jobs are found by in their lists."""

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, validates_schema

from schemas.fields import Day, Text, label
from schemas.wrong import wrong
from service.engine.ground.messages import message


class FoundBy(Schema):
    """What is known of what is looked for: all that is given must hold. A word that ends with * begins so."""

    number = label(metadata={"description": "Its number."})
    reference = label(
        metadata={"description": "The caller's own name for it, in any case: whole, or its beginning and *."}
    )
    client = Text(
        metadata={"description": "Words of the client's name, mail or telephone: whole, or beginnings and *."}
    )
    place = Text(
        metadata={"description": "Words of the building's address, in any case: whole, or beginnings and *."}
    )
    build_up = label(
        metadata={"description": "Label of a cavity, or code of its build-up: whole, or a beginning and *."}
    )
    since = Day(data_key="from", metadata={"description": "Made on this day or later (UTC)."})
    until = Day(data_key="to", metadata={"description": "Made on this day or earlier (UTC)."})

    @validates_schema
    def days_go_forward(self, data: Mapping[str, Any], **_options: Any) -> None:
        """Between days that are the wrong way round there is nothing, and that is not what was asked."""
        since, until = data.get("since"), data.get("until")
        if since and until and until < since:
            raise wrong(message("exports.ends_before", since=since), "to")
