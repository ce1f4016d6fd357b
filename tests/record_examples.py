"""A plugin for pytest: of what the tests send and are answered it keeps one example for each operation.

`docker/dev examples` runs the tests of the API with it and writes the examples of the documentation
anew. What is kept is the request that says most in the fewest lines, with its answer.
"""

import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

EXAMPLES = Path(__file__).parents[1] / "service" / "documents" / "assets" / "examples.json"
SHOWN_HEADERS = ("Content-Type", "If-Match", "Idempotency-Key", "Accept")
LONGEST_LIST, LONGEST_TEXT = 2, 240
PARAMETER = re.compile(r"<(?:\w+:)?(\w+)>")
WORTH_A_FIELD, MOST_FIELDS = 60, 60
NOT_READY = 202
PAGES = {"clients_page", "metrics_read"}
"""Read by people or by Prometheus: there is no body to show."""

found: dict[str, tuple[float, dict[str, Any]]] = {}


def pytest_configure() -> None:
    """Listen to every client of every app."""
    original = FlaskClient.open

    def listening(self: FlaskClient, *args: Any, **named: Any) -> TestResponse:
        answer = original(self, *args, **named)
        _consider(self.application, answer)
        return answer

    FlaskClient.open = listening  # type: ignore[method-assign, assignment]


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish() -> None:
    """Write what was kept; what was not heard this time stays as it was."""
    kept = json.loads(EXAMPLES.read_text(encoding="utf-8"))
    kept |= {name: example for name, (_, example) in found.items()}
    text = json.dumps(dict(sorted(kept.items())), ensure_ascii=False, indent=1)
    EXAMPLES.write_text(text + "\n", encoding="utf-8")


def _consider(app: Flask, answer: TestResponse) -> None:
    request = answer.request
    if request.method == "HEAD" or not 200 <= answer.status_code < 300:
        return
    adapter = app.url_map.bind("localhost")
    try:
        rule, _ = adapter.match(request.path, request.method, return_rule=True)
    except Exception:  # noqa: BLE001 - no route is no example
        return
    name = rule.endpoint.replace(".", "_")
    if name not in _operations(app) or name in PAGES:
        return
    example = _example(request, answer)
    worth = _worth(example)
    if name not in found or worth > found[name][0]:
        found[name] = worth, example


def _operations(app: Flask) -> set[str]:
    """The operations of the document; an app of a test's own has none."""
    spec = app.extensions.get("openapi")
    methods = spec.to_dict()["paths"].values() if spec and not app.extensions.get("names") else ()
    if methods:
        told = {said["operationId"] for each in methods for said in each.values() if "operationId" in said}
        app.extensions["names"] = told
    return app.extensions.get("names", set())


def _example(request: Any, answer: TestResponse) -> dict[str, Any]:
    headers = {"Authorization": "Bearer $KEY"} if "Authorization" in request.headers else {}
    headers |= {name: request.headers[name] for name in SHOWN_HEADERS if request.headers.get(name)}
    query = f"?{request.query_string.decode()}" if request.query_string else ""
    told: dict[str, Any] = {"status": answer.status_code, "kind": answer.content_type or "nothing"}
    if answer.mimetype == "application/json" and answer.data:
        told["body"] = _shortened(answer.json)
    example = {"path": f"{request.path}{query}", "headers": headers, "answer": told}
    if request.mimetype == "application/json" and (content := _content(request)):
        example["body"] = _shortened(json.loads(content))
    else:
        headers.pop("Content-Type", None) if not _content(request) else None
    return example


def _content(request: Any) -> bytes:
    stream = request.environ.get("wsgi.input")
    if stream is None or not hasattr(stream, "seek"):
        return b""
    stream.seek(0)
    content: bytes = stream.read()
    return content


def _shortened(value: Any) -> Any:
    match value:
        case dict():
            return {name: _shortened(each) for name, each in value.items()}
        case list():
            return [_shortened(each) for each in value[:LONGEST_LIST]]
        case str() if len(value) > LONGEST_TEXT:
            return f"{value[:LONGEST_TEXT]}…"
    return value


def _worth(example: Mapping[str, Any]) -> float:
    """Fields that are shown, up to so many, against the length that they take."""
    told = [example.get("body"), example["answer"].get("body")]
    fields = len(set(_fields(told)))
    ready = 0 if example["answer"]["status"] == NOT_READY else MOST_FIELDS * WORTH_A_FIELD
    return ready + min(fields, MOST_FIELDS) * WORTH_A_FIELD - len(json.dumps(told))


def _fields(value: Any) -> Iterator[str]:
    match value:
        case dict():
            for name, each in value.items():
                if each not in (None, [], {}):
                    yield name
                yield from _fields(each)
        case list():
            for each in value:
                yield from _fields(each)
