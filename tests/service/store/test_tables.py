"""Every table is listed, and what is looked up by its firm names it."""

from sqlalchemy import Table

from service.store import tables
from service.store.tables import metadata
from tests.columns import laid_out

# Rows of another row, which names the firm.
OWNED = {
    "answers",
    "clients",
    "files",
    "imports",
    "quote_cavities",
    "quote_options",
    "seals",
    "supersessions",
    "withdrawals",
}


def test_every_table_is_listed() -> None:
    there = laid_out(lambda each: isinstance(each, Table))
    assert set(tables.__all__) == set(there) | {"metadata"}
    assert {name for name in there if getattr(tables, name) is not metadata.tables[name]} == set()


def test_what_is_looked_up_by_its_firm_names_it() -> None:
    named = {table.name for table in metadata.sorted_tables if "firm_id" in table.columns}
    assert named | OWNED | {"firms"} == set(metadata.tables)
