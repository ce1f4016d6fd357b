"""How answers are written as JSON: in UTF-8, in one pass, their members in the order they were made."""

from collections.abc import Mapping
from typing import Any

import orjson
from flask import Response
from flask.json.provider import JSONProvider

from service.usecases.base.json import inflating, written


def as_kept(thing: Mapping[str, Any], headers: Mapping[str, str] | None = None) -> Response:
    """An answer that is kept as it is answered: no schema has to shape or round it."""
    return Response(written(thing), mimetype="application/json", headers=headers)


class Json(JSONProvider):
    """Flask's JSON, by a library in C."""

    def dumps(self, obj: Any, **_options: Any) -> str:
        """The text of plain JSON values."""
        return orjson.dumps(obj).decode()

    def loads(self, s: str | bytes, **_options: Any) -> Any:
        """The values of a text."""
        return orjson.loads(s)

    def response(self, *args: Any, **kwargs: Any) -> Response:
        """An answer of these values."""
        content = orjson.dumps(self._prepare_response_obj(args, kwargs), inflating)
        return Response(content, mimetype="application/json")
