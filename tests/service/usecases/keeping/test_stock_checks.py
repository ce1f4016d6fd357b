"""A stock that says something else than the entries is found, on either database."""

from typing import Any

import pytest
from flask import Flask
from sqlalchemy import Engine

from service.store import firms
from service.store.tables import stock_lots, stock_materials
from service.usecases.keeping.stock_checks import stock_faults
from tests.api import Api
from tests.said import said
from tests.tampering import undone


@pytest.fixture(scope="module")
def worked(app: Flask) -> Any:
    return Api(app).worked()


def test_a_lot_that_was_changed_by_hand_is_named(database: Engine, worked: Any) -> None:
    with undone(database) as connection:
        firm = firms.by_code(connection, "demo")
        assert firm is not None
        assert list(stock_faults(connection, firm["id"])) == []
        mine = stock_lots.c.firm_id == firm["id"]
        changed = stock_lots.update().where(mine).values(taken_kg=stock_lots.c.taken_kg + 1)
        count = connection.execute(changed).rowcount
        found = [said(fault) for fault in stock_faults(connection, firm["id"])]
        assert len(found) == count > 0
        assert all("says something else than the jobs' entries" in each for each in found)


def test_a_material_that_is_said_to_be_there_by_hand_is_named(database: Engine, worked: Any) -> None:
    with undone(database) as connection:
        firm = firms.by_code(connection, "demo")
        assert firm is not None
        more = stock_materials.c.there_bags + 1_000_000
        connection.execute(stock_materials.update().values(there_bags=more))
        assert list(map(said, stock_faults(connection, firm["id"]))) == [
            "What is said to be left over of CF-STD is something else than the jobs' entries say."
        ]
