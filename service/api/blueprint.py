"""What every module of routes is made of: strict arguments and a declared audience."""

from collections.abc import Callable, Mapping
from dataclasses import is_dataclass
from functools import wraps
from types import UnionType
from typing import Any, ClassVar, TypeVar

import flask_smorest
from flask import Response

from schemas.answers import Either, answer, either
from service.api import auth, idempotency, numbers
from service.api.json_body import StrictParser
from service.usecases.work.rendering import Awaited

BINARY = {"type": "string", "format": "binary"}
RETRY_AFTER = {
    "Retry-After": {"description": "When to ask again (s)", "schema": {"type": "integer", "minimum": 1}}
}
PUBLIC, OPERATOR = "public", "operator"

View = TypeVar("View", bound=Callable[..., Any])
Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]


class Blueprint(flask_smorest.Blueprint):
    """A group of routes with the strict reader of bodies and queries, answered once where it is asked for."""

    ARGUMENTS_PARSER = StrictParser()
    # A page's form says what JSON says: the document has that.
    DEFAULT_LOCATION_CONTENT_TYPE_MAPPING: ClassVar = {
        **flask_smorest.Blueprint.DEFAULT_LOCATION_CONTENT_TYPE_MAPPING,
        "json_or_form": "application/json",
    }

    def __init__(self, *args: Any, stores: bool = True, **named: Any) -> None:
        super().__init__(*args, **named)
        if stores:
            self._prepare_doc_cbks.append(_describe_key)

    def route(self, rule: str, **options: Any) -> Callable[[View], View]:
        """Answer requests for an address."""
        routed: Callable[[View], View] = super().route(rule, **options)
        return routed

    def errorhandler(self, error: type[Exception]) -> Callable[[View], View]:
        """Answer an error of this group's routes."""
        handled: Callable[[View], View] = super().errorhandler(error)
        return handled

    def after_request(self, function: View) -> View:
        """Finish every answer of this group's routes."""
        finished: View = super().after_request(function)
        return finished

    def doc(self, **described: Any) -> Decorator:
        """Say more of a route than its schemas do."""
        documented: Decorator = super().doc(**described)
        return documented

    def arguments(self, schema: Any, *, location: str = "json", **described: Any) -> Decorator:
        """Read the body or the query by `schema`; what no view asks for is refused (`unread`)."""
        # Made once: an instance for each request would copy every field of it.
        once = schema() if isinstance(schema, type) else schema
        documented = super().arguments(once, location=location, **described)
        return lambda view: reading(location)(documented(view))

    def register_views_in_doc(self, api: Any, *about: Any, **named: Any) -> None:
        """Have these routes described when the document is first asked for."""
        describe = super().register_views_in_doc
        api.describe_later(lambda: describe(api, *about, **named))

    @staticmethod
    def _make_doc_response_schema(schema: Any) -> Any:
        """What the document says of an answer's shape."""
        return {"oneOf": list(schema.one_of)} if isinstance(schema, Either) else schema

    def response(
        self,
        status_code: int,
        schema: Any = None,
        *,
        headers_of: Callable[[Any], Mapping[str, str]] | None = None,
        **described: Any,
    ) -> Decorator:
        """Answer with what the view returns, by `schema`, a dataclass or one of several.

        `headers_of` gives its headers.
        """
        documented: Decorator = super().response(status_code, _shape(schema), **described)

        def decorate(view: Callable[..., Any]) -> Callable[..., Any]:
            @documented
            def show(result: Any) -> Any:
                if isinstance(result, tuple):
                    raise TypeError("A view returns what it answers; headers_of gives the headers.")
                # A stored file brings its own headers.
                if headers_of is None or isinstance(result, Response):
                    return result
                return result, headers_of(result)

            @wraps(documented(view))
            def answering(*args: Any, **named: Any) -> Any:
                return idempotency.answered(show, lambda: view(*args, **named))

            return answering

        return decorate

    def answers_document(self, content_type: str = "application/pdf") -> Decorator:
        """Answer with the bytes of a document; or 202, in its place, with what it waits for."""
        waiting: Decorator = super().alt_response(
            202, schema=answer(Awaited), description="Not there yet", headers=RETRY_AFTER
        )
        whole = self.response(200, content_type=content_type, schema=BINARY)
        return lambda view: waiting(whole(view))


def _shape(schema: Any) -> Any:
    if isinstance(schema, UnionType):
        return either(schema)
    return answer(schema) if isinstance(schema, type) and is_dataclass(schema) else schema


def _describe_key(document: dict[str, Any], about: dict[str, Any], *, method: str, **_rest: Any) -> Any:
    if method not in ("get", "head"):
        by_hand = about.setdefault("manual_doc", {})
        described = by_hand.setdefault("parameters", document.get("parameters", []))
        if idempotency.PARAMETER["name"] not in [parameter.get("name") for parameter in described]:
            by_hand["parameters"] = [*described, idempotency.PARAMETER]
    return document


def needs(*roles: str) -> Decorator:
    """Let a view be called only by keys that hold one of `roles`.

    The roles stay readable on the view (`view.needs`): a test asserts that every
    route has them, or says that it is public.
    """

    def decorate(view: Callable[..., Any]) -> Callable[..., Any]:
        @wraps(view)
        def guarded(*args: Any, **named: Any) -> Any:
            auth.require(roles)
            return view(*args, **(numbers.resolved(named) if named else {}))

        guarded.needs = roles  # type: ignore[attr-defined]
        guarded._apidoc = {  # type: ignore[attr-defined]
            **getattr(view, "_apidoc", {}),
            "manual_doc": {
                "security": [{"bearer": []}],
                "responses": {status: _problem(status) for status in ("401", "403", "429", "503")},
            },
        }
        return guarded

    return decorate


def reading(location: str) -> Decorator:
    """Say of a view what of a request it reads: its "query", or its body as "json" or as "bytes"."""

    def decorate(view: Callable[..., Any]) -> Callable[..., Any]:
        view.reads = {*getattr(view, "reads", ()), location}  # type: ignore[attr-defined]
        return view

    return decorate


def public(view: Callable[..., Any]) -> Callable[..., Any]:
    """Say of a view that anybody may call it."""
    view.needs = (PUBLIC,)  # type: ignore[attr-defined]
    return view


def operators(view: Callable[..., Any]) -> Callable[..., Any]:
    """Let a view be called only by whoever runs the service."""

    @wraps(view)
    def guarded(*args: Any, **named: Any) -> Any:
        auth.require_operator()
        return view(*args, **named)

    guarded.needs = (OPERATOR,)  # type: ignore[attr-defined]
    return guarded


def _problem(status: str) -> dict[str, str]:
    return {"$ref": f"#/components/responses/{PROBLEMS[status]}"}


PROBLEMS = {
    "401": "UNAUTHORIZED",
    "403": "FORBIDDEN",
    "412": "PRECONDITION_FAILED",
    "428": "PRECONDITION_REQUIRED",
    "429": "TOO_MANY_REQUESTS",
    "503": "SERVICE_UNAVAILABLE",
}
