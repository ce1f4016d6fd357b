"""What is in force on a day, by database and by files alike."""

import copy
from datetime import date
from typing import Any

import pytest
from sqlalchemy import Engine

from service.api.firm_files import read_firm
from service.errors import InvalidInput
from service.store.session import reading
from service.usecases.firm import firms
from service.usecases.work.basis import load, of_files
from tests.api import DEMO, NOW, building

TODAY = NOW.date()


def with_later_prices(firm: Any, day: date) -> Any:
    """The firm with its first price list once more, under another name of the day that it begins."""
    again = copy.deepcopy(firm)
    prices = next(each for each in again["price_lists"] if each["currency"] == building()["currency"])
    return {**again, "price_lists": [{**prices, "in_force_from": day}, *again["price_lists"]]}


def test_files_and_database_give_the_same(database: Engine) -> None:
    firm = read_firm(DEMO)
    firms.load(database, firm, NOW)
    with reading(database) as connection:
        found = load(connection, firm_id=firms.id_of(database, "demo"), body=building(), on=TODAY)
    assert of_files(firm, body=building(), on=TODAY) == found


def test_the_latest_that_has_begun_is_in_force() -> None:
    firm = read_firm(DEMO)
    present = of_files(firm, body=building(), on=TODAY).price_list.in_force_from
    for day, expected in ((TODAY, TODAY), (date(2999, 1, 1), present)):
        later = with_later_prices(firm, day)
        assert of_files(later, body=building(), on=TODAY).price_list.in_force_from == expected


@pytest.mark.parametrize(("name", "value"), [("material", "NONE"), ("practice", "none"), ("currency", "XTS")])
def test_what_is_not_in_force_is_named(name: str, value: str) -> None:
    with pytest.raises(InvalidInput) as raised:
        of_files(read_firm(DEMO), body={**building(), name: value}, on=TODAY)
    assert [fault.pointer for fault in raised.value.faults] == [f"/{name}"]


def test_before_anything_began_nothing_is_in_force() -> None:
    with pytest.raises(InvalidInput) as raised:
        of_files(read_firm(DEMO), body=building(), on=date(1999, 12, 31))
    assert {fault.pointer for fault in raised.value.faults} == {"/material", "/practice", "/currency"}
