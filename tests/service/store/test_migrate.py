"""The migrations make what `tables` declares, once, on both databases."""

from sqlalchemy import Engine, inspect

from service.store import migrate
from service.store.session import reading
from service.store.tables import metadata


def test_an_upgraded_database_is_at_the_newest_revision(database_url: str, database: Engine) -> None:
    migrate.upgrade(database_url)
    with reading(database) as connection:
        assert migrate.revision(connection) == migrate.newest()
    assert migrate.newest() in migrate.known()


def test_the_migrations_make_every_table_with_its_columns(database: Engine) -> None:
    there = inspect(database)
    made = {
        name: {column["name"]: column["nullable"] for column in there.get_columns(name)}
        for name in there.get_table_names()
        if name != "alembic_version"
    }
    declared = {
        table.name: {column.name: bool(column.nullable) for column in table.columns}
        for table in metadata.sorted_tables
    }
    assert made == declared


def test_the_migrations_make_every_key_to_another_table(database: Engine) -> None:
    there = inspect(database)
    for table in metadata.sorted_tables:
        made = {
            (*key["constrained_columns"], key["referred_table"]) for key in there.get_foreign_keys(table.name)
        }
        declared = {(*key.column_keys, key.referred_table.name) for key in table.foreign_key_constraints}
        assert made == declared, table.name


def test_a_database_before_its_first_migration_has_no_revision() -> None:
    engine = migrate.open_database("sqlite://", operator=True)
    with reading(engine) as connection:
        assert migrate.revision(connection) is None
    engine.dispose()
