"""Consecutive numbers, without gaps, however many take one at once."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import Engine, select

from service.store import series
from service.store.session import reading, writing
from service.store.tables import firms


@pytest.fixture
def firm_id(settings: object, database: Engine) -> Iterator[object]:
    """A firm to count for."""
    with reading(database) as connection:
        yield connection.execute(select(firms.c.id).order_by(firms.c.code)).scalars().first()


def test_numbers_begin_at_one_each_year(database: Engine, firm_id: object) -> None:
    with writing(database) as connection:
        taken = [series.take(connection, firm_id=firm_id, kind="a", year=2026) for _ in range(3)]
        other = series.take(connection, firm_id=firm_id, kind="a", year=2027)
    assert taken == [1, 2, 3]
    assert other == 1


def test_a_rollback_gives_its_number_back(database: Engine, firm_id: object) -> None:
    with pytest.raises(ZeroDivisionError), writing(database) as connection:
        series.take(connection, firm_id=firm_id, kind="b", year=2026) // 0
    with writing(database) as connection:
        assert series.take(connection, firm_id=firm_id, kind="b", year=2026) == 1


def test_many_at_once_leave_no_gap_and_no_twin(database: Engine, firm_id: object) -> None:
    def take(_: int) -> int:
        with writing(database) as connection:
            return series.take(connection, firm_id=firm_id, kind="c", year=2026)

    with ThreadPoolExecutor(8) as pool:
        taken = sorted(pool.map(take, range(40)))
    assert taken == list(range(1, 41))
