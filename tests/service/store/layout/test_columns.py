"""What every table's columns have in common."""

from typing import Any

import pytest

from service.store.tables import metadata

COLUMNS = [column for table in metadata.sorted_tables for column in table.columns]


@pytest.mark.parametrize(
    "column",
    [column for column in COLUMNS if column.name == "sha256" or column.name.endswith("_sha256")],
    ids=str,
)
def test_a_digest_is_held_to_its_length(column: Any) -> None:
    checks = [str(each.sqltext) for each in column.constraints]
    assert checks == [f"length({column.name}) = 64"]


@pytest.mark.parametrize("column", [column for column in COLUMNS if column.name.endswith("_at")], ids=str)
def test_a_moment_keeps_its_offset(column: Any) -> None:
    assert type(column.type).__name__ == "Instant"
