"""Every record fits the schema that is published of records, and the schema stays as it was published.

The validator is jsonschema, which had no part in it. Records are of certificates as they are issued:
of the demo buildings of both markets, of a part alone, with photo, correction and concession.
"""

import hashlib
import json
from typing import Any
from uuid import UUID

import pytest
from flask import Flask
from jsonschema import Draft202012Validator

from service.store import certificates
from service.usecases.work.record_shape import published
from tests.api import DEMO, Api, building
from tests.full_job import full_job

pytestmark = pytest.mark.usefixtures("papers_plain")

PUBLISHED = "cb828ecb6a4a0965a3f89bf32f3bca3ad442913e1b79e463b5ef2fc9e4231678"
"""SHA-256 of the schema. It is frozen with the first release: what changes then is record/2."""


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database is enough: a record is bytes."""
    return sqlite_url


def certified(api: Api, body: Any, *parts: str) -> Any:
    job = api.worked(body)
    answer = api.issue(job, *parts)
    assert answer.status_code == 201, answer.text
    return job


@pytest.fixture(scope="module")
def records(app: Flask) -> list[Any]:
    api = Api(app)
    in_feet = json.loads((DEMO / "building-us.json").read_text(encoding="utf-8"))
    jobs = [
        full_job(api),
        certified(api, building()),
        certified(api, in_feet),
        certified(api, None, "GF-N"),
    ]
    with app.extensions["database"].connect() as connection:
        rows = [row for job in jobs for row in certificates.of_job(connection, UUID(job["id"]))]
        return [json.loads(bytes(row["record"])) for row in rows]


@pytest.fixture(scope="module")
def valid() -> Draft202012Validator:
    schema = json.loads(published())
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema, format_checker=Draft202012Validator.FORMAT_CHECKER)


def test_every_record_fits_what_is_published(records: list[Any], valid: Draft202012Validator) -> None:
    found = [
        f"{record['number']} {error.json_path}: {error.message[:200]}"
        for record in records
        for error in valid.iter_errors(record)
    ]
    assert found == []


def test_they_are_records_of_every_kind(records: list[Any]) -> None:
    """Else the test above would look at less than it says."""
    assert {record["market"] for record in records} == {"eu", "us"}
    assert any(record["photos"] and record["concessions"] and record["corrections"] for record in records)
    assert any(record["outcome"]["not_part"] for record in records)
    parts = [part for record in records for part in record["parts"]]
    assert any(part["planned"]["open_blow"] for part in parts)
    assert any(part["planned"]["density"] for part in parts)
    assert any(record["air_tests"] for record in records)


def test_a_record_that_says_more_or_less_is_another(records: list[Any], valid: Draft202012Validator) -> None:
    record = records[0]
    assert not valid.is_valid({**record, "client": {"name": "Somebody"}})
    for name in record:
        assert not valid.is_valid({other: value for other, value in record.items() if other != name}), name


def test_every_figure_is_told_with_its_meaning() -> None:
    """Whoever reads a record in ten years has nothing but this."""
    unmeant = [
        f"{name}.{member}"
        for name, shape in json.loads(published())["$defs"].items()
        for member, said in shape.get("properties", {}).items()
        if name != "Message" and not said.get("description")
    ]
    assert unmeant == []


def test_it_is_the_one_that_was_published() -> None:
    found = hashlib.sha256(published()).hexdigest()
    assert found == PUBLISHED, f"""
    The published shape of records changed, to {found}. Before the first release that is as it should
    be when a record says more: put the new digest here. After it, the change is record/2."""
