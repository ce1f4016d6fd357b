"""A scratch copy of the schema with its large tables in parts by firm: what that would take of PostgreSQL.

Not how the service keeps them: `docker/SCALING.md` says what came of it. Each of these tables becomes the
parent of partitions by the hash of `firm_id`. PostgreSQL wants that column in every key of such a table, and
a foreign key to it names it too: one of a table that has no `firm_id` is lost.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, text

TABLES = ("quotes", "jobs", "entries", "search_terms", "acceptances", "events")
COLUMNS = (
    "ARRAY(SELECT attname::text FROM unnest({}) WITH ORDINALITY AS k (n, place) JOIN pg_attribute ON "
    "attrelid = {} AND attnum = k.n ORDER BY place)"
)
KEYS = f"""
SELECT conrelid::regclass::text AS of, conname AS name, contype AS kind, confrelid::regclass::text AS to,
    {COLUMNS.format("conkey", "conrelid")} AS columns, {COLUMNS.format("confkey", "confrelid")} AS named
FROM pg_constraint WHERE contype IN ('p', 'u', 'f') AND connamespace = 'public'::regnamespace
ORDER BY kind DESC
"""
INDEXES = """
SELECT pg_get_indexdef(indexrelid) FROM pg_index WHERE indrelid = CAST(:of AS regclass) AND NOT indisunique
"""
TRIGGERS = (
    "SELECT pg_get_triggerdef(oid) FROM pg_trigger WHERE tgrelid = CAST(:of AS regclass) AND NOT tgisinternal"
)
POLICIES = "SELECT tablename, policyname, cmd, qual FROM pg_policies WHERE schemaname = 'public'"
OWNER = "SELECT tableowner FROM pg_tables WHERE tablename = 'firms'"
HAVE_FIRM = "SELECT table_name FROM information_schema.columns WHERE column_name = 'firm_id'"


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """What is no more as it was: keys that hold within a firm alone, and foreign keys that are gone."""

    widened: Sequence[str]
    lost: Sequence[str]


def partition(connection: Connection, parts: int) -> Changed:
    """Put the TABLES in so many parts each, with everything that hangs on them; as a superuser."""
    keys = [row for row in connection.execute(text(KEYS)) if {row.of, row.to} & {*TABLES}]
    have_firm = set(connection.execute(text(HAVE_FIRM)).scalars())
    owner = connection.execute(text(OWNER)).scalar_one()
    policies = set(connection.execute(text(POLICIES)))
    for key in keys:
        if key.kind == "f":
            connection.execute(text(f"ALTER TABLE {key.of} DROP CONSTRAINT {key.name}"))
    for table in TABLES:
        _in_parts(connection, table, parts, [key for key in keys if key.of == table and key.kind != "f"])
        connection.execute(text(f"ALTER TABLE {table} OWNER TO {owner}"))
    # Those of other tables too that look whose a row is by one of these.
    for row in policies - set(connection.execute(text(POLICIES))):
        policy = f"CREATE POLICY {row.policyname} ON {row.tablename} FOR {row.cmd} USING ({row.qual})"
        connection.exec_driver_sql(policy)
    foreign = [key for key in keys if key.kind == "f"]
    lost = [key for key in foreign if key.to in TABLES and key.of not in have_firm]
    for key in foreign:
        if key not in lost:
            _refer(connection, key)
    unique = [key for key in keys if key.kind != "f" and "firm_id" not in key.columns]
    return Changed(widened=[key.name for key in unique], lost=[key.name for key in lost])


def _in_parts(connection: Connection, table: str, parts: int, keys: Sequence[Any]) -> None:
    asked = {"of": table}
    made = [row[0] for of in (INDEXES, TRIGGERS) for row in connection.execute(text(of), asked)]
    for statement in (
        f"ALTER TABLE {table} RENAME TO whole",
        f"CREATE TABLE {table} (LIKE whole INCLUDING CONSTRAINTS) PARTITION BY HASH (firm_id)",
        *(
            f"CREATE TABLE {table}_{part} PARTITION OF {table} "
            f"FOR VALUES WITH (MODULUS {parts}, REMAINDER {part})"
            for part in range(parts)
        ),
        f"INSERT INTO {table} SELECT * FROM whole",
        "DROP TABLE whole CASCADE",
        *(f"ALTER TABLE {table} ADD {_kind(key)} ({', '.join(_with_firm(key.columns))})" for key in keys),
        *made,
        f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY",
    ):
        connection.exec_driver_sql(statement)


def _kind(key: Any) -> str:
    return "PRIMARY KEY" if key.kind == "p" else "UNIQUE"


def _with_firm(columns: Sequence[str]) -> list[str]:
    """At the end: what is looked up without the firm still is, in one part after the other."""
    return [*columns, *(() if "firm_id" in columns else ("firm_id",))]


def _refer(connection: Connection, key: Any) -> None:
    columns, named = key.columns, key.named
    if key.to in TABLES:
        columns, named = _with_firm(columns), _with_firm(named)
    connection.execute(
        text(
            f"ALTER TABLE {key.of} ADD CONSTRAINT {key.name} FOREIGN KEY ({', '.join(columns)}) "
            f"REFERENCES {key.to} ({', '.join(named)})"
        )
    )
