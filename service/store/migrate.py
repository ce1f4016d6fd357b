"""The schema: created and upgraded by the same migrations on SQLite and PostgreSQL."""

from functools import cache

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from service.errors import SettingsWrong
from service.store import roles
from service.store.session import open_database, writing

LOCATION = "service.store:migrations"


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", LOCATION)
    config.set_main_option("path_separator", "os")
    return config


def upgrade(database_url: str, *, serving: str | None = None) -> None:
    """Bring the schema of `database_url` to this version's; a newer one is refused.

    On PostgreSQL the role `serving` is given its rights, where it is not the tables' owner.
    """
    database = open_database(database_url, operator=True, makes=True)
    try:
        with writing(database) as connection:
            found = revision(connection)
            if found is not None and found not in known():
                raise SettingsWrong("The database's schema is newer than this version of the service.")
            config = _config()
            config.attributes["connection"] = connection
            command.upgrade(config, "head")
            if serving and serving != database.url.username:
                roles.grant(connection, serving)
    finally:
        database.dispose()


def revision(connection: Connection) -> str | None:
    """The revision that a database is at; None before the first."""
    return MigrationContext.configure(connection).get_current_revision()


@cache
def newest() -> str:
    """The revision of this version."""
    head = ScriptDirectory.from_config(_config()).get_current_head()
    assert head is not None
    return head


@cache
def known() -> frozenset[str]:
    """Every revision that this version knows."""
    return frozenset(script.revision for script in ScriptDirectory.from_config(_config()).walk_revisions())
