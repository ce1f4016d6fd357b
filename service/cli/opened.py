"""The database that the settings name, as its operator opens it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sqlalchemy import Engine


def opened() -> Engine:
    """The database, seen to have the schema of this version; raises SettingsWrong when it has not."""
    from service.errors import SettingsWrong
    from service.settings import from_environment
    from service.store.session import open_database
    from service.usecases.keeping.health import unfit_because

    database = open_database(from_environment().database_url, operator=True)
    if fault := unfit_because(database):
        raise SettingsWrong(fault)
    return database
