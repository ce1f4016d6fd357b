"""Transactions behave alike on both databases: whole, and held to a firm."""

from pathlib import Path

import pytest
from sqlalchemy import Engine, text
from sqlalchemy.exc import IntegrityError

from service.errors import SettingsWrong
from service.store.session import address, is_bound, reading, writing

ADD = text("INSERT INTO firms (id, code, data, created_at) VALUES (:id, :code, '{}', '2026-11-25 08:00:00')")


def names(database: Engine) -> set[str]:
    with reading(database) as connection:
        return set(connection.execute(text("SELECT code FROM firms")).scalars())


def add(database: Engine, code: str, number: int, *, again: bool = False) -> None:
    row = {"id": f"0197f000-0000-7000-8000-{number:012d}", "code": code}
    with writing(database) as connection:
        for _ in range(2 if again else 1):
            connection.execute(ADD, row)


def test_a_block_that_ends_is_kept_and_one_that_raises_is_not(database: Engine) -> None:
    add(database, "kept", 1)
    with pytest.raises(IntegrityError):
        add(database, "lost", 2, again=True)
    assert "kept" in names(database)
    assert "lost" not in names(database)


def test_a_still_transaction_sees_what_was_there_when_it_began(database: Engine) -> None:
    with reading(database, still=True) as connection:
        before = connection.execute(text("SELECT count(*) FROM firms")).scalar_one()
        add(database, "meanwhile", 4)
        assert connection.execute(text("SELECT count(*) FROM firms")).scalar_one() == before
    assert "meanwhile" in names(database)


def test_foreign_keys_hold(database: Engine) -> None:
    series = text("INSERT INTO series (firm_id, kind, year, last) VALUES (:id, 'quote', 2026, 1)")
    with pytest.raises(IntegrityError), writing(database) as connection:
        connection.execute(series, {"id": "0197f000-0000-7000-8000-00000000dead"})


def test_row_level_security_binds_the_tests(database: Engine) -> None:
    with reading(database) as connection:
        assert is_bound(connection)


@pytest.mark.parametrize(
    "url", ["", "a word", "mysql://host/x", "postgresql://host/x", "postgresql+psycopg2://host/x"]
)
def test_what_is_no_address_of_ours_is_refused(url: str) -> None:
    with pytest.raises(SettingsWrong, match="BAYWRIGHT_DATABASE_URL"):
        address(url)


def test_a_file_needs_its_folder(tmp_path: Path) -> None:
    assert address(f"sqlite:///{tmp_path}/x").database == f"{tmp_path}/x"
    with pytest.raises(SettingsWrong, match="no folder"):
        address(f"sqlite:///{tmp_path}/none/x")
