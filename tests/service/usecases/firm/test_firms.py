"""A firm is loaded with what it works by; loaded again, only what is new is added."""

from typing import Any
from uuid import UUID

import pytest
from sqlalchemy import Engine

from service.api.firm_files import read_firm
from service.errors import NotKnown
from service.store import dated
from service.store import firms as stored
from service.store.session import reading
from service.usecases.firm import firms
from tests.api import DEMO, NOW


@pytest.fixture(scope="module")
def firm() -> Any:
    """The demo firm's files, under another code."""
    return {**read_firm(DEMO), "code": "loaded"}


def counted(database: Engine, firm_id: UUID) -> int:
    with reading(database) as connection:
        return sum(len(dated.versions(connection, kind, firm_id=firm_id)) for kind in dated.TABLES)


def test_loading_again_adds_only_what_is_new(database: Engine, firm: Any) -> None:
    added = firms.load(database, firm, NOW)
    firm_id = firms.id_of(database, "loaded")
    assert added == len(list(firms.versions(firm))) == counted(database, firm_id) > 10
    assert firms.load(database, firm, NOW) == 0
    first, *others = firm["lances"]
    longer = {**firm, "lances": [{**first, "length_mm": first["length_mm"] + 10}, *others]}
    assert firms.load(database, longer, NOW) == 1
    assert firms.id_of(database, "loaded") == firm_id
    assert counted(database, firm_id) == added + 1


def test_the_timestamp_authority_alone_is_taken_over_anew(database: Engine, firm: Any) -> None:
    firms.load(database, firm, NOW)
    url = "https://stamps.example/tsa"
    for named in ({"timestamp_url": url}, {}):
        data = {**firm["data"], "name": "Another name", **named}
        firms.load(database, {**firm, "data": data}, NOW)
        with reading(database) as connection:
            (there,) = (each for each in stored.every(connection) if each["code"] == "loaded")
        assert there["data"] == firm["data"] | named


def test_what_has_no_day_of_its_own_has_always_been_in_force(firm: Any) -> None:
    days = {kind: {day for _, day, _ in [row]} for kind, row in firms.versions(firm)}
    assert days["lances"] == {firms.ALWAYS}


def test_prices_are_found_by_their_currency(firm: Any) -> None:
    codes = {code for kind, (code, _, _) in firms.versions(firm) if kind == "price_lists"}
    assert codes == {prices["currency"] for prices in firm["price_lists"]}


def test_nobody_is_known_by_another_code(database: Engine) -> None:
    with pytest.raises(NotKnown):
        firms.id_of(database, "nobody")
