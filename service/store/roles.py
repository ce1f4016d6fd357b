"""The service's role on PostgreSQL, where it is another than the one that owns the tables.

It reads and writes rows and nothing else: whoever takes the service over can neither alter a table,
nor drop the triggers that keep what was issued, nor empty a table, nor see another firm's rows.
"""

from sqlalchemy import Connection, text

from service.errors import SettingsWrong

RIGHTS = (
    "GRANT USAGE ON SCHEMA public TO {role}",
    "GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO {role}",
    "REVOKE INSERT, UPDATE, DELETE ON alembic_version, task_figures FROM {role}",
)


def grant(connection: Connection, role: str) -> None:
    """Give the service's role its rights to all tables that there are; raises SettingsWrong without one."""
    found = connection.execute(text("SELECT 1 FROM pg_roles WHERE rolname = :role"), {"role": role}).first()
    if found is None:
        raise SettingsWrong(
            f"There is no role {role}, which BAYWRIGHT_DATABASE_URL names: let a superuser make it first."
        )
    quoted = connection.dialect.identifier_preparer.quote(role)
    for right in RIGHTS:
        connection.execute(text(right.format(role=quoted)))
