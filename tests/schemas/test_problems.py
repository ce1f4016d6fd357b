"""A problem has the members of RFC 9457 and our own beside them, and every refusal has that shape."""

from typing import Any

import pytest

from schemas.problems import Problem
from tests.api import Api, problem, small_building

# RFC 9457, 3.1: the members that every problem may have.
STANDARD = {"type", "title", "status", "detail", "instance"}


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: what is refused here never gets to it."""
    return sqlite_url


def test_it_has_the_standard_members_and_ours() -> None:
    assert Problem().fields.keys() == STANDARD | {"code", "values", "errors", "conditions"}


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        (("POST", "/v1/quotes", {}), 422),
        (("POST", "/v1/quotes", small_building(material="NONE")), 422),
        (("GET", "/v1/jobs/0197f000-0000-7000-8000-000000000001"), 404),
        (("GET", "/v1/nowhere"), 404),
        (("DELETE", "/v1/quotes"), 405),
    ],
    ids=str,
)
def test_what_is_refused_has_this_shape(api: Api, sent: Any, status: int) -> None:
    body = problem(api.send(*sent), status)
    assert Problem().load(body) == body
