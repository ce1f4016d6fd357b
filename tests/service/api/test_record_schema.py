"""The shape of records is there for anybody, as it is in every archive."""

import json

import pytest
from flask import Flask
from jsonschema import Draft202012Validator

from service.usecases.work.record_shape import published


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """What is served does not come from a database."""
    return sqlite_url


def test_it_is_served_to_anybody_as_what_it_is(app: Flask) -> None:
    answer = app.test_client().get("/schemas/record/1")
    assert answer.status_code == 200
    assert answer.content_type == "application/schema+json"
    assert answer.data == published()
    Draft202012Validator.check_schema(json.loads(answer.data))
    assert app.test_client().get("/schemas/record/2").status_code == 404
