"""A plugin for pytest: of what the tests send and are answered it keeps one example for each operation.

`docker/dev examples` runs the tests of the API with it and writes the examples of the documentation
anew. What is kept is the request that says most in the fewest lines, with its answer.
"""

import json
import re
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

EXAMPLES = Path(__file__).parents[1] / "service" / "documents" / "assets" / "examples.json"
SHOWN_HEADERS = ("Content-Type", "Accept")
LONGEST_LIST, LONGEST_TEXT = 2, 240
PARAMETER = re.compile(r"<(?:\w+:)?(\w+)>")
WORTH_A_FIELD, MOST_FIELDS = 60, 60
NOT_READY = 202
PAGES = {"clients_page", "metrics_read"}
"""Read by people or by Prometheus: there is no body to show."""

Worth = tuple[bool, bool, bool, int]
found: dict[str, tuple[Worth, dict[str, Any]]] = {}


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
    taken = _operations(app).get(name)
    ours = app.view_functions[rule.endpoint].__module__.startswith("service.")
    if taken is None or name in PAGES or not ours:
        return
    example = _example(request, answer, taken)
    worth = _worth(example)
    if name not in found or worth > found[name][0]:
        found[name] = worth, example


def _operations(app: Flask) -> Mapping[str, frozenset[str]]:
    """The operations of the document with the headers that each takes; an app of a test's own has none."""
    spec = app.extensions.get("openapi")
    if spec and "headers" not in app.extensions:
        app.extensions["headers"] = dict(_headers(spec.to_dict()))
    known: Mapping[str, frozenset[str]] = app.extensions.get("headers", {})
    return known


def _headers(document: Mapping[str, Any]) -> Iterator[tuple[str, frozenset[str]]]:
    for methods in document["paths"].values():
        for said in methods.values():
            if "operationId" in said:
                named = (each["name"] for each in said.get("parameters", ()) if each.get("in") == "header")
                yield said["operationId"], frozenset(named)


def _example(request: Any, answer: TestResponse, taken: Collection[str]) -> dict[str, Any]:
    headers = {"Authorization": "Bearer $KEY"} if "Authorization" in request.headers else {}
    shown = (*SHOWN_HEADERS, *sorted(taken))
    headers |= {name: request.headers[name] for name in shown if request.headers.get(name)}
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


def _worth(example: Mapping[str, Any]) -> Worth:
    """Whether it is there already, what is answered and sent; fields, so many, against their length."""
    told = [example.get("body"), example["answer"].get("body")]
    fields = min(len(set(_fields(told))), MOST_FIELDS)
    ready = example["answer"]["status"] != NOT_READY
    return ready, bool(told[1]), bool(told[0]), fields * WORTH_A_FIELD - len(json.dumps(told))


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
