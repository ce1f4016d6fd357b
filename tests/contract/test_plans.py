"""Every list and search by the plans of its statements, on SQLite: none looks through a whole table.

SQLite tells its plan without figures of the tables, so that it is the same however much is in them. That it
takes no longer among a million is measured on PostgreSQL (`tests/bench/bench_lists.py`).
"""

import re
from collections.abc import Iterable, Mapping
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

import pytest
from flask import Flask

from tests.api import Api
from tests.bench.bench_lists import CASES, OF_DAYS
from tests.statements import statements

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("papers_plain")]
MORE = {
    "/v1/exports/entries": ("/v1/exports/entries", OF_DAYS),
    "/v1/summary": ("/v1/summary", {"from": "{day}", "to": "{day}"}),
}
WORDS = {"number", "reference", "client", "place", "build_up"}
"""By these few are sought among all of a firm's."""
SCANNED = re.compile(r"SCAN (?!CONSTANT ROW|\(subquery-|anon_|led$|near$|page$)")
"""A table or a whole index; not what a statement has found so far, by SQLAlchemy's names or by ours."""
ALL_OF_FIRM = re.compile(
    r"SEARCH (quotes|jobs|entries|certificates|events|search_terms|first) .*"
    r"\(firm_id=\?( AND (state|kind)=\?)?\)"
)
SORTED = "USE TEMP B-TREE FOR ORDER BY"


@pytest.fixture(scope="module")
def known(app: Flask) -> Mapping[str, str]:
    """What the queries ask for, of a job that was worked."""
    job = Api(app).worked()
    an_id = str(uuid4())
    return {
        **{"quote": job["quote_id"], "number": job["quote_number"]},
        **{"job": job["id"], "job_number": job["number"], "crew": an_id},
        **{"reference": "A house", "i": "1", "street": "street", "elsewhere": "town"},
        **{"day": job["created_at"][:10], "middle": an_id, "last_offered": an_id, "event": "3"},
    }


@pytest.mark.parametrize("name", [*CASES, *MORE])
def test_no_list_looks_through_a_whole_table(
    app: Flask, api: Api, known: Mapping[str, str], name: str
) -> None:
    path, query = (CASES | MORE)[name]
    asked = urlencode({of: value.format_map(known) for of, value in query.items()})
    with statements(app) as sent:
        answer = api.send("GET", f"{path.format_map(known)}?{asked}")
    assert answer.status_code == 200, answer.text
    for statement in sent:
        for steps in _plan(app, statement):
            assert not [step for step in steps if SCANNED.match(step)], statement
            if WORDS & query.keys() or SORTED in steps:
                assert not [step for step in steps if ALL_OF_FIRM.match(step)], statement


def _plan(app: Flask, statement: str) -> Iterable[list[str]]:
    """The steps of a statement and of each query within it."""
    with app.extensions["database"].connect() as connection:
        # Whatever it is asked with: values have no say in it.
        asked: Any = (None,) * statement.count("?")
        told = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", asked).all()
    steps: dict[int, list[str]] = {}
    for _, within, _, step in told:
        steps.setdefault(within, []).append(step)
    return steps.values()
