"""What a schema refuses, by JSON pointer, as the service names it."""

import copy
import json
from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, ValidationError

from service.api.json_body import faults
from tests.api import DEMO

GONE = object()
"""In the place of a value: the member is left out."""


def refused(schema: Schema, body: Any) -> set[str]:
    """The pointers of what is refused; none where the body is taken."""
    try:
        schema.load(body)
    except ValidationError as error:
        return {fault.pointer for fault in faults(error.messages)}
    return set()


def changed(body: Any, pointer: str, value: Any) -> Any:
    """`body` with another value at a pointer, or without the member that is there."""
    made = copy.deepcopy(body)
    *way, last = pointer.strip("/").split("/")
    inner = made
    for step in way:
        inner = inner[_step(inner, step)]
    if value is GONE:
        del inner[_step(inner, last)]
    else:
        inner[_step(inner, last) if isinstance(inner, list) else last] = value
    return made


def _step(inner: Any, step: str) -> Any:
    return int(step) if isinstance(inner, list) else step


def required(schema: Schema) -> list[str]:
    """The members that a body cannot be without."""
    return sorted(name for name, field in schema.fields.items() if field.required)


def refused_without(schema: Schema, body: Mapping[str, Any]) -> dict[str, set[str]]:
    """What is refused of a body without each of the members that it needs."""
    return {name: refused(schema, changed(body, name, GONE)) for name in required(schema)}


def demo(name: str) -> Any:
    """A file of the demo firm."""
    return json.loads((DEMO / name).read_text(encoding="utf-8"))
