"""The OpenAPI 3.1 document, generated from the routes and schemas."""

import re
from collections.abc import Callable, Mapping
from http import HTTPStatus
from importlib.metadata import version
from threading import Lock
from typing import Any

import flask_smorest
from apispec.ext.marshmallow import MarshmallowPlugin
from flask import Flask
from flask_smorest.utils import prepare_response
from werkzeug.exceptions import HTTPException
from werkzeug.routing import BaseConverter

from schemas.entries import EntryField, OneOrSeveral, WordOr
from schemas.fields import CODE, Amount, Balance, Day, Moment
from schemas.problems import Problem
from service.api import problems
from service.api.blueprint import PROBLEMS
from service.api.numbers import SCHEMA, Id
from service.documents.web import reference

CONFIG = {
    "API_TITLE": "Baywright",
    "API_VERSION": version("baywright"),
    "OPENAPI_VERSION": "3.1.0",
    "OPENAPI_URL_PREFIX": "/",
    "OPENAPI_JSON_PATH": "openapi.json",
}

PARAMETER = re.compile(r"<(?:\w+:)?(\w+)>")

DESCRIPTION = (
    "Plans, prices, records and certifies loose-fill cellulose insulation. Field names carry their unit; "
    "money travels as decimal strings; times are RFC 3339 in UTC."
)


class Code(BaseConverter):
    """A code in an address."""

    regex = CODE


class Api(flask_smorest.Api):
    """flask-smorest, answering errors in our one shape and documenting them so.

    The document is written when it is first asked for: most processes that start never are.
    """

    ERROR_SCHEMA = Problem

    def __init__(self, app: Flask) -> None:
        self._unwritten: list[Callable[[], None]] = []
        self._writing = Lock()
        super().__init__(app, spec_kwargs={"info": {"description": DESCRIPTION}})
        app.extensions["openapi"] = self
        assert self.spec is not None
        self.spec.components.security_scheme("bearer", {"type": "http", "scheme": "bearer"})
        app.url_map.converters["code"] = Code
        app.url_map.converters["uuid"] = Id
        self.register_converter(Id, lambda _: SCHEMA)
        self.register_converter(Code, lambda _: {"type": "string", "pattern": f"^{CODE}$"})
        self.register_field(Amount, "string", "decimal")
        self.register_field(Balance, "string", "decimal")
        self.register_field(Day, "string", "date")
        self.register_field(Moment, "string", "date-time")
        plugin: MarshmallowPlugin = self.ma_plugin
        assert plugin.converter is not None
        plugin.converter.add_attribute_function(_one_of_its_kinds)  # type: ignore[no-untyped-call]
        plugin.converter.add_attribute_function(_decimal)  # type: ignore[no-untyped-call]

    def describe_later(self, describe: Callable[[], None]) -> None:
        """Put something into the document when it is written."""
        self._unwritten.append(describe)

    def to_dict(self) -> Any:
        """The document."""
        self._write()
        assert self.spec is not None
        return self.spec.to_dict()

    def _openapi_json(self) -> Any:
        self._write()
        return super()._openapi_json()

    def _write(self) -> None:
        with self._writing:
            if self._unwritten:
                for describe in self._unwritten:
                    describe()
                self._unwritten.clear()
                self._finish(self._app)

    def _finish(self, app: Flask) -> None:
        """Name each operation, say who may and give an example, once all routes are there."""
        assert self.spec is not None
        for rule in app.url_map.iter_rules():
            methods = self.spec._paths.get(PARAMETER.sub(r"{\1}", rule.rule), {})
            for method in rule.methods or ():
                if operation := methods.get(method.lower()):
                    name = rule.endpoint.replace(".", "_")
                    operation["operationId"] = name
                    operation["x-roles"] = list(getattr(app.view_functions[rule.endpoint], "needs", ()))
                    _exemplify(operation, reference.examples().get(name))

    def handle_http_exception(self, error: HTTPException) -> Any:
        """The framework's errors, in our one shape."""
        return problems.from_http(error)

    def _register_responses(self) -> None:
        for status in HTTPStatus:
            if status < HTTPStatus.BAD_REQUEST:
                continue
            response = {"description": status.phrase, "schema": self.ERROR_SCHEMA}
            prepare_response(response, self.spec, "application/problem+json")
            # Those that `needs` refers to by hand must be there whether or not they are asked for.
            self.spec.components.response(status.name, response, lazy=str(int(status)) not in PROBLEMS)
        response = {"description": "An error", "schema": self.ERROR_SCHEMA}
        prepare_response(response, self.spec, "application/problem+json")
        self.spec.components.response("DEFAULT_ERROR", response, lazy=True)


def _decimal(_self: Any, field: Any, **_options: Any) -> dict[str, Any]:
    """Describe how money is written."""
    return {"pattern": field.pattern} if isinstance(field, Amount) else {}


def _one_of_its_kinds(self: Any, field: Any, **_options: Any) -> dict[str, Any]:
    """Describe a field that is read in one of several shapes."""
    match field:
        case EntryField():
            return {"oneOf": [self.resolve_nested_schema(schema) for schema in field.kinds.values()]}
        case WordOr():
            return {"oneOf": [{"const": field.word}, self.resolve_nested_schema(field.kind)]}
        case OneOrSeveral():
            return {"type": ["array", "number"]}
    return {}


def _exemplify(operation: dict[str, Any], example: Mapping[str, Any] | None) -> None:
    """Put what was sent and answered once beside the shapes that it is of."""
    if example is None:
        return
    content = operation.get("requestBody", {}).get("content", {}).get("application/json")
    if content is not None and "body" in example:
        content["example"] = example["body"]
    answered = operation["responses"].get(str(example["answer"]["status"]), {})
    content = answered.get("content", {}).get("application/json")
    if content is not None and "body" in example["answer"]:
        content["example"] = example["answer"]["body"]
