"""The database that the settings name, as its operator opens it."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sqlalchemy import Engine


def opened(*, reads: bool = False) -> Engine:
    """The database, seen to have the schema of this version; raises SettingsWrong when it has not.

    Who only `reads` may be given one that cannot be written: a standby.
    """
    from service.errors import SettingsWrong
    from service.settings import from_environment
    from service.store import objects
    from service.store.session import open_database
    from service.usecases.keeping.health import unfit_because

    settings = from_environment()
    database = open_database(settings.operator_url, operator=True, objects=objects.opened(settings))
    if fault := unfit_because(database, reads=reads):
        raise SettingsWrong(fault)
    return database


def operator_for(firm: str) -> Any:
    """The surroundings of a use case that the operator runs for a firm."""
    from service.settings import from_environment
    from service.usecases.base.context import Context
    from service.usecases.firm import firms

    database = opened()
    context = Context(database=database, settings=from_environment(), caller=None, now=datetime.now(UTC))
    return context.acting_for(firms.id_of(database, firm), "operator")
