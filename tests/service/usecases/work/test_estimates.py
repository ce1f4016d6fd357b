"""An estimate goes by the firm's usual codes, by database and by files alike; without them it is asked."""

from typing import Any

import pytest
from sqlalchemy import Engine, update

from service.api.firm_files import read_firm
from service.errors import InvalidInput
from service.settings import Settings
from service.store import tables
from service.store.session import writing
from service.usecases.base.context import Context
from service.usecases.firm import firms
from service.usecases.work import estimates
from tests.api import DEMO, NOW

BODY: Any = {"parts": [{"element": "wall", "area_m2": 120.0, "depth_mm": 360.0}]}


@pytest.fixture
def context(settings: Settings, database: Engine) -> Context:
    """The surroundings of somebody who acts for the demo firm."""
    nobody = Context(database=database, settings=settings, caller=None, now=NOW)
    return nobody.acting_for(firms.id_of(database, "demo"), "operator")


def test_files_and_database_give_the_same(context: Context) -> None:
    firm, today = read_firm(DEMO), context.now.date()
    assert estimates.of_files(firm, BODY, today) == estimates.create(context, BODY)


def test_a_firm_without_a_usual_one_is_asked_which(context: Context) -> None:
    firm = read_firm(DEMO)
    bare = {name: value for name, value in firm["data"].items() if name != "material"}
    with pytest.raises(InvalidInput) as by_files:
        estimates.of_files({**firm, "data": bare}, BODY, context.now.date())
    with writing(context.database, firm_id=context.firm_id) as connection:
        connection.execute(update(tables.firms).where(tables.firms.c.id == context.firm_id).values(data=bare))
    with pytest.raises(InvalidInput) as by_database:
        estimates.create(context, BODY)
    for raised in (by_files, by_database):
        (fault,) = raised.value.faults
        assert fault.pointer == "/material"
        assert "CF-STD" in fault.detail.values["known"]  # type: ignore[union-attr]
    assert estimates.create(context, {**BODY, "material": "CF-STD"})["material"] == "CF-STD"
