"""What is posted, and shown as it was posted."""

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, post_dump

from schemas.fields import Several


class Posted(Schema):
    """A member that may be left out is left out of the answer too, so that an answer can be posted again."""

    @post_dump
    def without_what_was_left_out(self, data: Mapping[str, Any], **_options: Any) -> dict[str, Any]:
        """Nothing without a value, and no list that cannot be posted as short as that."""
        return {name: value for name, value in data.items() if not self._left_out(name, value)}

    def _left_out(self, name: str, value: Any) -> bool:
        field = self.fields[name]
        return value is None or (isinstance(field, Several) and len(value) < field.least)
