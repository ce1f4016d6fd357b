"""References that lead nowhere: rows that name another row by its key, which is not there.

The database refuses them, unless whoever owns it has told it not to look.
"""

from collections.abc import Iterator

from sqlalchemy import Connection, ForeignKeyConstraint, and_, func, or_, select

from service.store.tables import certificates, files, jobs, metadata, quotes, supplement_steps


def dangling(connection: Connection) -> Iterator[tuple[str, int]]:
    """The tables with such rows, of all firms, and how many of each name what is not there."""
    for table in metadata.sorted_tables:
        for key in sorted(table.foreign_key_constraints, key=lambda each: list(each.column_keys)):
            if count := _count(connection, key):
                yield table.name, count
    if count := _without_owner(connection):
        yield files.name, count


def _count(connection: Connection, key: ForeignKeyConstraint) -> int:
    named = key.referred_table.alias("named")
    there = [each.parent == named.c[each.column.name] for each in key.elements]
    given = [each.parent.is_not(None) for each in key.elements]
    missing = ~select(named.c[key.elements[0].column.name]).where(and_(*there)).exists()
    found = select(func.count()).select_from(key.table).where(*given, missing)
    return connection.execute(found).scalar_one()


def _without_owner(connection: Connection) -> int:
    """How many files belong to nothing: what has a file is of several tables, and no key says so."""
    owned = [
        select(owner.c.id).where(owner.c.id == files.c.owner_id).exists()
        for owner in (quotes, jobs, certificates, supplement_steps)
    ]
    return connection.execute(select(func.count()).select_from(files).where(~or_(*owned))).scalar_one()
