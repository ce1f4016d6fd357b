"""Whether the service can do its work."""

from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError

from service.engine.ground.messages import Message
from service.errors import Unavailable
from service.store import migrate, storage
from service.store.contents import objects_of
from service.store.session import is_bound, owns_tables, reading


def not_isolated_because(database: Engine) -> str | None:
    """A sentence that says why PostgreSQL shows the service every firm's rows; None when it does not."""
    with reading(database) as connection:
        if is_bound(connection):
            return None
    return (
        "The database role is a superuser: PostgreSQL's row-level security does not bind it. "
        "Let an ordinary role own the database."
    )


def unguarded_because(database: Engine) -> str | None:
    """A sentence that says why the service could undo what keeps its records; None when it could not."""
    with reading(database) as connection:
        if connection.dialect.name == "sqlite" or not owns_tables(connection):
            return None
    return (
        "The database role owns the tables, and so could drop what keeps records as they were issued. "
        "Let another role own them, and name it by BAYWRIGHT_OWNER_DATABASE_URL to who needs it."
    )


def cannot_see_every_firm_because(database: Engine) -> str | None:
    """A sentence that says why nothing can be done for all firms alike; None when it can."""
    with reading(database) as connection:
        if owns_tables(connection):
            return None
    return (
        "The database role sees one firm's rows at a time: BAYWRIGHT_OWNER_DATABASE_URL must name the role "
        "that owns the database (or `baywright serve --no-work` leave the work to another machine)."
    )


def not_ready_because(database: Engine) -> str | None:
    """A sentence that says why nothing can be done; None when it can."""
    try:
        return unfit_because(database)
    except (OSError, SQLAlchemyError, Unavailable):
        return "The database does not answer."


def without_contents_because(database: Engine) -> Message | None:
    """Why documents and photos are not to be had while everything else is; None when they are."""
    objects = objects_of(database)
    return objects.fault() if objects else None


def unfit_because(database: Engine, *, reads: bool = False) -> str | None:
    """The same for the operator, who is to know why a database does not answer: that is raised.

    Who only `reads` may do so from a standby, which cannot be written.
    """
    if fault := storage.file_fault(database):
        return fault
    with reading(database) as connection:
        found = migrate.revision(connection)
        fault = storage.fault(connection)
    if found is not None and found not in migrate.known():
        return "The database's schema is newer than this version of the service."
    if found != migrate.newest():
        return "The database's schema is not the one of this version: run `baywright migrate`."
    return None if reads else fault
