"""The documentation's examples: one for each operation, and true to the document of today.

They are what was once sent and answered: `docker/dev examples` records them anew.
"""

from typing import Any

import pytest
from flask import Flask
from jsonschema import Draft202012Validator

from service.documents.web.reference import examples
from tests.record_examples import PAGES


@pytest.fixture(scope="module")
def document(app: Flask) -> Any:
    return app.test_client().get("/openapi.json").json


def operations(document: Any) -> dict[str, Any]:
    """Each operation by its name."""
    return {
        said["operationId"]: said
        for methods in document["paths"].values()
        for method, said in methods.items()
        if method != "parameters"
    }


def test_each_operation_has_one_and_nothing_else_has(document: Any) -> None:
    assert set(examples()) == set(operations(document)) - PAGES


def faults(document: Any, said: Any, body: Any, *, shortened: bool) -> list[str]:
    """What is wrong with a body by its schema; of a shortened one the counts say nothing."""
    schema = {**said, "components": document["components"]}
    counted = {"minItems", "maxItems"} if shortened else set()
    return [
        f"{error.json_path}: {error.message[:200]}"
        for error in Draft202012Validator(schema).iter_errors(body)
        if error.validator not in counted
    ]


def test_each_is_of_the_shapes_that_the_document_says(document: Any) -> None:
    wrong: dict[str, list[str]] = {}
    for name, said in operations(document).items():
        example = examples().get(name, {})
        answered = example.get("answer", {})
        bodies = [
            (said.get("requestBody", {}), example.get("body")),
            (said["responses"].get(str(answered.get("status")), {}), answered.get("body")),
        ]
        for place, body in bodies:
            content = place.get("content", {}).get("application/json", {})
            if body is not None and (schema := content.get("schema")):
                wrong[name] = wrong.get(name, []) + faults(document, schema, body, shortened=True)
    assert {name: found for name, found in wrong.items() if found} == {}


def test_headers_are_those_that_the_operation_takes_and_no_key_of_a_test(document: Any) -> None:
    strange: dict[str, list[str]] = {}
    for name, said in operations(document).items():
        headers = examples().get(name, {}).get("headers", {})
        named = {each["name"] for each in said.get("parameters", ()) if each["in"] == "header"}
        named |= {"Authorization", "Content-Type", "Accept"}
        strange[name] = sorted(set(headers) - named)
        strange[name] += [value for value in headers.values() if "bw_" in value or "<" in value]
    assert {name: found for name, found in strange.items() if found} == {}


def test_what_goes_as_json_is_shown_and_no_list_is_empty(document: Any) -> None:
    """A spreadsheet, a page of PDF or an empty list shows no caller what to send or to expect."""
    lacking = []
    for name, said in operations(document).items():
        example = examples().get(name, {"answer": {}})
        answer, body = example["answer"], said.get("requestBody", {})
        answered = said["responses"].get(str(answer.get("status")), {}).get("content", {})
        sent = body.get("required") and "application/json" in body["content"]
        shown = answer.get("body")
        nothing = "application/json" in answered and shown in (None, {}, {"items": []})
        if (sent and "body" not in example) or nothing:
            lacking.append(name)
    assert lacking == []
