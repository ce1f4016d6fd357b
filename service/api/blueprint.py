"""What every module of routes is made of: strict arguments and a declared audience."""

from collections.abc import Callable
from functools import wraps
from typing import Any

import flask_smorest

from service.api import auth
from service.api.json_body import StrictParser

PUBLIC = "public"


class Blueprint(flask_smorest.Blueprint):
    """A group of routes with the strict reader of bodies and queries."""

    ARGUMENTS_PARSER = StrictParser()


def needs(*roles: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Let a view be called only by keys that hold one of `roles`.

    The roles stay readable on the view (`view.needs`): a test asserts that every
    route has them, or says that it is public.
    """

    def decorate(view: Callable[..., Any]) -> Callable[..., Any]:
        @wraps(view)
        def guarded(*args: Any, **named: Any) -> Any:
            auth.require(roles)
            return view(*args, **named)

        guarded.needs = roles  # type: ignore[attr-defined]
        guarded._apidoc = {  # type: ignore[attr-defined]
            **getattr(view, "_apidoc", {}),
            "manual_doc": {
                "security": [{"bearer": []}],
                "responses": {status: _problem(status) for status in ("401", "403", "429")},
            },
        }
        return guarded

    return decorate


def public(view: Callable[..., Any]) -> Callable[..., Any]:
    """Say of a view that anybody may call it."""
    view.needs = (PUBLIC,)  # type: ignore[attr-defined]
    return view


def _problem(status: str) -> dict[str, str]:
    return {"$ref": f"#/components/responses/{PROBLEMS[status]}"}


PROBLEMS = {"401": "UNAUTHORIZED", "403": "FORBIDDEN", "429": "TOO_MANY_REQUESTS"}
