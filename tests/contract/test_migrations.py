"""The migrations make what the tables say, and what was issued cannot be changed below the service."""

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Engine, inspect, text
from sqlalchemy.exc import DBAPIError

from service.errors import SettingsWrong
from service.store import migrate
from service.store.session import reading, writing
from service.store.tables import metadata
from service.usecases.keeping import health
from tests.api import Api

pytestmark = pytest.mark.usefixtures("papers_plain")


def test_models_and_migrations_agree(database: Engine) -> None:
    with reading(database) as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []
        assert migrate.revision(connection) == migrate.newest()


def test_upgrading_twice_changes_nothing(database_url: str, database: Engine) -> None:
    migrate.upgrade(database_url)
    with reading(database) as connection:
        assert migrate.revision(connection) == migrate.newest()


def test_digests_have_their_length(database: Engine) -> None:
    with pytest.raises(DBAPIError), writing(database) as connection:
        connection.execute(
            text(
                "INSERT INTO files (kind, owner_id, sha256, content, created_at) "
                "VALUES ('quote', :id, 'short', :content, '2026-11-25')"
            ),
            {"id": "0197f000000070008000000000000000", "content": b"x"},
        )


CHANGES = (
    "UPDATE quotes SET reference = 'another' WHERE state <> 'draft'",
    "UPDATE quotes SET total = total + 1 WHERE state = 'accepted'",
    "DELETE FROM quotes",
    "UPDATE quote_cavities SET mass_kg = 0",
    "DELETE FROM quote_cavities",
    "UPDATE entries SET \"by\" = 'somebody else'",
    "DELETE FROM entries",
    "UPDATE files SET kind = 'other'",
    "DELETE FROM files",
    "UPDATE materials SET code = 'X'",
    "DELETE FROM price_lists",
    "UPDATE certificates SET number = 'X'",
    "DELETE FROM certificates",
    "UPDATE seals SET chain_sha256 = sha256",
    "DELETE FROM seals",
    "UPDATE quotes SET sealed = sealed - 1",
    "UPDATE clients SET reason = 'none'",
    "DELETE FROM clients",
    "UPDATE jobs SET number = 'X'",
    "DELETE FROM jobs",
)


def test_raw_sql_cannot_change_what_was_issued(api: Api, database: Engine) -> None:
    assert api.issue(api.worked()).status_code == 201
    api.wait()
    for change in CHANGES:
        with pytest.raises(DBAPIError, match="never changed"), writing(database) as connection:
            connection.execute(text(change))


def test_a_newer_schema_is_refused(database_url: str, database: Engine) -> None:
    with writing(database) as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(SettingsWrong, match="newer"):
        migrate.upgrade(database_url)
    # The server asks the same before it starts.
    assert "newer" in (health.not_ready_because(database) or "")


def test_a_check_is_called_by_its_table_and_its_name_once(database: Engine) -> None:
    """What a migration names in full must not be named by the convention once more."""
    found = inspect(database)
    for table in metadata.sorted_tables:
        for check in found.get_check_constraints(table.name):
            assert str(check["name"]).count("ck_") == 1
