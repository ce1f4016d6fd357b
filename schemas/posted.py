"""What is posted, and shown as it was posted."""

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, post_dump


class Posted(Schema):
    """A member that may be left out is left out of the answer too, so that an answer can be posted again."""

    @post_dump
    def without_what_was_left_out(self, data: Mapping[str, Any], **_options: Any) -> dict[str, Any]:
        """Nothing without a value."""
        return {name: value for name, value in data.items() if value is not None}
