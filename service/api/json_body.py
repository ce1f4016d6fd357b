"""JSON bodies, read strictly (RFC 8259, I-JSON's stricter reading RFC 7493).

Refused: another media type, duplicate keys, NaN and Infinity, numbers beyond a
double, text that is not UTF-8 or holds a lone surrogate or NUL, and nesting
deeper than any building needs.
"""

import json
import math
import re
from collections.abc import Iterator
from contextlib import suppress
from itertools import islice
from typing import Any, ClassVar, NoReturn

import marshmallow
from flask import Request
from webargs.flaskparser import FlaskParser

from schemas import quick
from schemas.wrong import Said
from service.api import survey_files
from service.engine.ground.messages import Message, message
from service.errors import Fault, InvalidInput, Malformed, WrongKind

DEEPEST = 16
LARGEST_INTEGER = 2**53
MOST_FAULTS = 100
LONGEST_KEY = 200
UNSTORABLE = re.compile("[\x00\ud800-\udfff]")
TWICE = Said(message("api.sent_twice"))


class StrictParser(FlaskParser):
    """Reads arguments for the views; every fault names its field by JSON pointer."""

    # The library declares it for an instance, and reads it of the class.
    DEFAULT_UNKNOWN_BY_LOCATION: ClassVar = {  # type: ignore[misc]
        "json": marshmallow.RAISE,
        "query": marshmallow.RAISE,
        "json_or_form": marshmallow.RAISE,
    }

    def _raw_load_json(self, req: Request) -> Any:
        if req.mimetype in (files := survey_files.taken()):
            return survey_files.body_of(req)
        if req.mimetype != "application/json":
            raise WrongKind(message("api.body_of_another_kind", kinds=("application/json", *files)))
        return read(req.get_data(cache=True))

    def load_json_or_form(self, req: Request, schema: marshmallow.Schema) -> Any:
        """A page's form, which a browser sends without a script; anything else is read as JSON."""
        if req.mimetype != "application/x-www-form-urlencoded":
            return self.load_json(req, schema)
        twice = {name: [TWICE] for name in req.form if len(req.form.getlist(name)) > 1}
        if twice:
            raise marshmallow.ValidationError(twice)
        for text in req.form.values():
            _check_text(text)
        said = req.form.to_dict()
        return {name: text for name, text in said.items() if text or _must_be_said(schema, name)}

    def load_querystring(self, req: Request, schema: marshmallow.Schema) -> Any:
        """The parameters of the address; what is asked for once and sent twice is refused."""
        if not req.query_string:
            return {}
        of_several = {
            field.data_key or name
            for name, field in schema.fields.items()
            if isinstance(field, marshmallow.fields.List)
        }
        twice = {
            name: [TWICE] for name in req.args if name not in of_several and len(req.args.getlist(name)) > 1
        }
        if twice:
            raise marshmallow.ValidationError({"query": twice})
        return super().load_querystring(req, schema)

    def _process_location_data(
        self,
        location_data: Any,
        schema: marshmallow.Schema,
        req: Request,
        location: str,
        unknown: str | None,
        validators: Any,
    ) -> Any:
        """What was sent, read quickly where it is right; of what is not the schema says what is wrong."""
        if location in self.DEFAULT_UNKNOWN_BY_LOCATION and not validators:
            with suppress(marshmallow.ValidationError):
                return quick.reader(schema)(location_data)
        return super()._process_location_data(location_data, schema, req, location, unknown, validators)

    def handle_error(self, error: marshmallow.ValidationError, *_args: Any, **_options: Any) -> NoReturn:
        """Raise every fault at once."""
        raise InvalidInput(*faults(error.messages))


def _must_be_said(schema: marshmallow.Schema, name: str) -> bool:
    """Whether a form's field that was left empty is a fault, and not a thing that nobody said."""
    field = schema.fields.get(name)
    return field is None or field.required


def read(content: bytes) -> Any:
    """The value of a JSON text; raises Malformed with a sentence that says why not."""
    try:
        value = json.loads(
            content.decode("utf-8"),
            object_pairs_hook=_object,
            parse_constant=_no_constant,
            parse_float=_finite,
            parse_int=_integer,
        )
    except UnicodeDecodeError:
        raise Malformed(message("api.body_not_utf_8")) from None
    except json.JSONDecodeError as error:
        raise Malformed(message("api.body_not_json", reason=error.msg, line=error.lineno)) from None
    except RecursionError:
        raise Malformed(message("api.body_too_deep")) from None
    _check(value, DEEPEST)
    return value


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise Malformed(message("api.key_twice", key=ascii(_shortened(key))))
        found[key] = value
    return found


def _no_constant(name: str) -> NoReturn:
    raise Malformed(message("api.not_a_number", text=name))


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise Malformed(message("api.number_too_large"))
    return number


def _integer(text: str) -> int:
    # Measured by its text first: turning a million digits into a number is slow.
    if len(text) > 17 or abs(int(text)) > LARGEST_INTEGER:
        raise Malformed(message("api.number_too_large"))
    return int(text)


def _check(value: Any, depth: int) -> None:
    if depth == 0:
        raise Malformed(message("api.body_too_deep"))
    if isinstance(value, str):
        _check_text(value)
    elif isinstance(value, dict):
        for key, member in value.items():
            _check_text(key)
            _check(member, depth - 1)
    elif isinstance(value, list):
        for member in value:
            _check(member, depth - 1)


def _check_text(text: str) -> None:
    if UNSTORABLE.search(text):
        raise Malformed(message("api.text_unstorable"))


def faults(messages: Any) -> list[Fault]:
    """Marshmallow's nested messages as a flat list with pointers (RFC 6901): the first hundred."""
    return list(islice(_faults(messages, ""), MOST_FAULTS))


def _faults(messages: Any, pointer: str) -> Iterator[Fault]:
    if isinstance(messages, dict):
        for key, inner in messages.items():
            yield from _faults(inner, pointer + _step(key))
    elif isinstance(messages, list):
        yield from (Fault(pointer, _said(text)) for text in messages)
    else:
        yield Fault(pointer, _said(messages))


def _said(text: Any) -> str | Message:
    """A schema's sentence, or the text of a library that has one of its own."""
    return text.message if isinstance(text, Said) else str(text)


def _step(key: Any) -> str:
    # "_schema" means the object itself, the others are webargs' names for where it looked.
    if key in ("json", "json_or_form", "query", "_schema"):
        return ""
    return "/" + _shortened(str(key)).replace("~", "~0").replace("/", "~1")


def _shortened(key: str) -> str:
    """What somebody sent is not sent back to him by the megabyte."""
    return key if len(key) <= LONGEST_KEY else f"{key[:LONGEST_KEY]}\u2026"
