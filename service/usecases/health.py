"""Whether the service can do its work."""

from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError

from service.errors import Unavailable
from service.store import migrate
from service.store.session import reading


def not_ready_because(database: Engine) -> str | None:
    """A sentence that says what is missing; None when all is well."""
    try:
        with reading(database) as connection:
            found = migrate.revision(connection)
    except (SQLAlchemyError, Unavailable):
        return "The database does not answer."
    if found != migrate.newest():
        return "The database's schema is not the one of this version: run `baywright migrate`."
    return None
