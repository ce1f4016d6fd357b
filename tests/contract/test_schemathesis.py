"""Requests made from the OpenAPI document, right and wrong: the service keeps to what it says of itself."""

import shutil
from collections import Counter
from itertools import count
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
import schemathesis
from flask import Flask
from hypothesis import HealthCheck, settings
from schemathesis.config import SchemathesisConfig
from schemathesis.generation.meta import TestPhase
from schemathesis.schemas import BaseSchema

from service.api.sheets.xlsx_file import XLSX
from service.usecases.firm.keys import ROLES
from tests.api import Api
from tests.long import rounds

schemathesis.serializer(XLSX)(
    lambda _context, value: value if isinstance(value, bytes) else str(value).encode()
)

NUMBERS = count()
TURNS: Counter[str] = Counter()
EXAMPLES = rounds(short=2, long=50)
# Values at every border of a large body are thousands: the short form takes some of the first and then one in
# so many. A prime, so that what comes round in its turn is not always the same.
ALL_OF_THE_FIRST, ONE_IN = 20, rounds(short=19, long=1)
KNOWN = {"practice": "eu", "material": "CF-STD", "currency": "EUR", "priced_on": "2026-11-25"}
CONFIG = {
    "generation": {"deterministic": True, "database": "none"},
    "checks": {
        # No schema can say that a material must be one of the firm's, that a window must fit its wall (422),
        # that a quote was changed since (412), or that text has no NUL in it (400).
        "positive_data_acceptance": {
            "expected-statuses": ["2xx", "3xx", "400", "401", "403", "404", "409", "412", "422", "429"]
        },
        # A condition that is missing has a status of its own (RFC 6585), and a body is looked at first (422).
        "missing_required_header": {"expected-statuses": ["400", "422", "428"]},
    },
}


@pytest.fixture(scope="module")
def database_url(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("schemathesis") / "database.sqlite3"
    shutil.copyfile(sqlite_template, path)
    return f"sqlite:///{path}"


@pytest.fixture(scope="module")
def api(app: Flask) -> Api:
    return Api(app)


@pytest.fixture(scope="module")
def document(app: Flask) -> BaseSchema:
    return schemathesis.openapi.from_wsgi("/openapi.json", app, config=SchemathesisConfig.from_dict(CONFIG))


@pytest.fixture(autouse=True)
def named(request: pytest.FixtureRequest) -> None:
    """Schemathesis calls its test by each operation, in a member that pytest does not have any more."""
    request.node._nodeid = request.node.nodeid


# Read when the test runs: else each process that collects the tests works out thousands of cases for nothing.
schema = schemathesis.pytest.from_fixture("document")


@pytest.fixture(scope="module")
def ids(api: Api) -> dict[str, str]:
    """Things that are there."""
    job = api.worked()
    certificate = api.issue(job).json
    link = api.send("POST", f"/v1/certificates/{certificate['id']}/links", {"days": 1}).json
    return {
        "quote_id": api.quote()["id"],
        "job_id": job["id"],
        "certificate_id": certificate["id"],
        "link_id": link["id"],
    }


@schema.parametrize()
# Schemathesis reads an answer that is a file without closing it.
@pytest.mark.filterwarnings("ignore:Exception ignored in. <_io:pytest.PytestUnraisableExceptionWarning")
@settings(max_examples=EXAMPLES, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_the_service_keeps_to_its_document(case: schemathesis.Case, api: Api, ids: dict[str, str]) -> None:
    if not _has_its_turn(case):
        return
    for name, value in case.path_parameters.items():
        if name in ids and _is_uuid(value):
            # Nobody guesses an id: where one would be right, it is one of something that is there.
            case.path_parameters[name] = ids[name]
    if case.meta.generation.mode.is_positive:
        _make_meant(case.body)
        if "Idempotency-Key" in (case.headers or {}):
            # A key of its own for each request: else only the first one under it is looked at.
            case.headers["Idempotency-Key"] = f"request {next(NUMBERS)}"
    case.call_and_validate(headers={"Authorization": f"Bearer {api.key(*ROLES)}"})


def _has_its_turn(case: schemathesis.Case) -> bool:
    if case.meta.phase.name is not TestPhase.COVERAGE:
        return True
    TURNS[case.operation.label] += 1
    number = TURNS[case.operation.label]
    return number <= ALL_OF_THE_FIRST or number % ONE_IN == 0


def _make_meant(body: Any) -> None:
    """Let a body that is well-formed name what the firm has, so that more than its names is looked at."""
    if isinstance(body, dict):
        body |= {name: KNOWN[name] for name in KNOWN.keys() & body.keys()}
        body.pop("extras", None)
        for entry in body.get("entries", ()):
            if "cavity" in entry:
                entry |= {"cavity": "GF-N"}


def _is_uuid(value: Any) -> bool:
    try:
        return str(UUID(value)) == value
    except (ValueError, AttributeError, TypeError):
        return False
