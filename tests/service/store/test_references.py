"""References that lead nowhere are counted by table, though the database was told not to look."""

import pytest
from sqlalchemy import Engine, text
from uuid6 import uuid7

from service.store.references import dangling
from service.store.tables import files, keys
from tests.stored import NOW, Site


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """PostgreSQL tells its superuser alone not to look; there the check of a whole database asks the same."""
    return sqlite_url


def test_what_names_nothing_is_counted_where_it_stands(database: Engine) -> None:
    with database.connect().execution_options(writes=True) as connection, connection.begin() as undone:
        site = Site(connection)
        site.entry(1)
        assert list(dangling(connection)) == []
        connection.execute(text("PRAGMA defer_foreign_keys = ON"))
        connection.execute(keys.delete().where(keys.c.id == site.key_id))
        file = {"kind": "quote", "owner_id": uuid7(), "sha256": "0" * 64, "size_bytes": 1}
        connection.execute(files.insert().values(**file, content=b"x", created_at=NOW))
        assert sorted(dangling(connection)) == [("entries", 1), ("files", 1)]
        undone.rollback()
