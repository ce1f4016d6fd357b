"""What the tables promise holds in the database, below every query."""

from typing import Any

import pytest
from sqlalchemy import Connection, insert
from sqlalchemy.exc import DBAPIError, IntegrityError

from schemas import jobs as job_schemas
from schemas import quotes as quote_schemas
from service.store.tables import clients, files, jobs, links, metadata, quotes
from tests.stored import NOW, Site, quote

COLUMNS = [column for table in metadata.sorted_tables for column in table.columns]


@pytest.mark.parametrize(
    "column",
    [column for column in COLUMNS if column.name == "sha256" or column.name.endswith("_sha256")],
    ids=str,
)
def test_a_digest_is_held_to_its_length(column: Any) -> None:
    checks = [str(each.sqltext) for each in column.constraints]
    assert checks == [f"length({column.name}) = 64"]


@pytest.mark.parametrize("column", [column for column in COLUMNS if column.name.endswith("_at")], ids=str)
def test_a_moment_keeps_its_offset(column: Any) -> None:
    assert type(column.type).__name__ == "Instant"


# Rows of another row, which names the firm.
OWNED = {
    "answers",
    "clients",
    "files",
    "imports",
    "quote_cavities",
    "seals",
    "supersessions",
    "withdrawals",
}


def test_what_is_looked_up_by_its_firm_names_it() -> None:
    named = {table.name for table in metadata.sorted_tables if "firm_id" in table.columns}
    assert named | OWNED | {"firms"} == set(metadata.tables)


@pytest.mark.parametrize(
    ("table", "values"),
    [
        (quotes, {"state": "lost"}),
        (jobs, {"state": "lost"}),
        (clients, {"data": None}),
        (clients, {"salt": None}),
        (clients, {"sha256": "short"}),
    ],
    ids=str,
)
def test_a_row_that_cannot_be_is_refused(site: Site, table: Any, values: dict[str, Any]) -> None:
    # PostgreSQL asks the triggers first, which let a client's row be erased and nothing else.
    with pytest.raises(DBAPIError, match=r"constraint|never changed"), site.connection.begin_nested():
        site.connection.execute(table.update().values(**values))


def test_a_file_without_content_was_erased(site: Site) -> None:
    owner = quote(site.connection, site.firm_id)
    row = {"kind": "quote", "owner_id": owner, "sha256": "0" * 64, "created_at": NOW}
    for wrong in ({"content": None}, {"content": b"x", "erased_at": NOW}):
        with pytest.raises(IntegrityError), site.connection.begin_nested():
            site.connection.execute(insert(files).values(**row, **wrong))


@pytest.mark.parametrize(
    ("table", "words", "passing"),
    [(quotes, quote_schemas.STATES, {"lapsed"}), (jobs, job_schemas.STATES, set())],
    ids=str,
)
def test_states_are_those_that_are_answered(table: Any, words: list[str], passing: set[str]) -> None:
    """But for an offer's lapsing, which is a matter of the day and stored nowhere."""
    (check,) = table.c.state.constraints
    stored = {word for word in words if f"'{word}'" in str(check.sqltext)}
    assert stored == set(words) - passing
    assert str(check.sqltext).count("'") == 2 * len(stored)


def test_a_link_is_to_a_quote_or_a_certificate(connection: Connection, site: Site) -> None:
    row = {"id": site.job_id, "firm_id": site.firm_id, "owner_id": site.job_id}
    moments = {"expires_at": NOW, "created_at": NOW}
    with pytest.raises(IntegrityError), connection.begin_nested():
        connection.execute(insert(links).values(**row, **moments, kind="job"))
