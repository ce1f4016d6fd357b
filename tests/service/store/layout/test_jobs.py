"""Jobs and assignments: rows hold what their tables have, and what cannot be is refused."""

import pytest
from sqlalchemy import Table
from sqlalchemy.exc import IntegrityError

from schemas import jobs as job_schemas
from service.store.layout import jobs
from tests.columns import assert_row_of, name_of, words_of
from tests.stored import Site


@pytest.mark.parametrize(
    ("kind", "table"),
    [
        (jobs.Job, jobs.jobs),
        (jobs.Assignment, jobs.assignments),
    ],
    ids=name_of,
)
def test_a_row_has_the_columns_of_its_table(kind: type, table: Table) -> None:
    assert_row_of(kind, table)


def test_a_job_is_in_no_other_state(site: Site) -> None:
    with pytest.raises(IntegrityError), site.connection.begin_nested():
        site.connection.execute(jobs.jobs.update().values(state="lost"))


def test_states_are_those_that_are_answered() -> None:
    assert words_of(jobs.jobs.c.state) == set(job_schemas.STATES)
