"""A transaction that ends in nothing, so that each test finds the database as it was."""

from collections.abc import Iterator

import pytest
from sqlalchemy import Connection, Engine

from tests.stored import Site


@pytest.fixture
def connection(database: Engine) -> Iterator[Connection]:
    """A transaction that writes and is undone."""
    with (
        database.connect().execution_options(writes=True) as connection,
        connection.begin() as transaction,
    ):
        yield connection
        transaction.rollback()


@pytest.fixture
def site(connection: Connection) -> Site:
    """A firm with a key and a job."""
    return Site(connection)
