"""Firms: loaded with what they work by."""

from collections.abc import Iterator, Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Engine

from service.engine.ground.messages import message
from service.engine.plan.price_list import PriceList
from service.engine.survey.build_up import BuildUp
from service.engine.survey.practice import Lance, Material, Practice
from service.errors import NotKnown
from service.store import dated, firms
from service.store.row_types import Firm
from service.store.session import reading, writing
from service.usecases.base import journal
from service.usecases.base.json import from_json, to_json

# What is loaded without a day of its own has been in force for as long as anybody can ask.
ALWAYS = date(2000, 1, 1)
AUTHORITY = "timestamp_url"


def load(database: Engine, firm: Mapping[str, Any], now: datetime) -> int:
    """Add a firm, or what is new to one that is there; returns the number of versions added."""
    with writing(database) as connection:
        there = firms.by_code(connection, firm["code"])
        firm_id = there["id"] if there else _new(connection, firm, now)
        if there:
            _renew(connection, there, firm["data"])
        return sum(_add(connection, firm_id, kind, *row, now=now) for kind, row in versions(firm))


def _new(connection: Connection, firm: Mapping[str, Any], now: datetime) -> UUID:
    firm_id = firms.add(connection, code=firm["code"], data=firm["data"], now=now)
    journal.note(connection, firm_id, "firm", firm_id)
    return firm_id


def _renew(connection: Connection, there: Firm, data: Mapping[str, Any]) -> None:
    """Take over which timestamp authority a firm names; name and address stay as they were."""
    named = {name: value for name, value in data.items() if name == AUTHORITY}
    renewed = {name: value for name, value in there["data"].items() if name != AUTHORITY} | named
    if renewed != there["data"]:
        firms.change(connection, there["id"], renewed)
        journal.note(connection, there["id"], "firm", there["id"])


def versions(firm: Mapping[str, Any]) -> Iterator[tuple[str, tuple[str, date, Any]]]:
    """What a firm works by, as it was read from its files: kind, and code, day and data."""
    for sheet in firm["materials"]:
        yield "materials", _version(Material, sheet, sheet["code"], apart=True)
    for built in firm["build_ups"]:
        yield "build_ups", _version(BuildUp, built, built["code"], apart=True)
    for prices in firm["price_lists"]:
        yield "price_lists", _version(PriceList, prices, prices["currency"], apart=False)
    for profile in firm["practices"]:
        yield "practices", _version(Practice, profile, profile["code"], apart=True)
    for lance in firm["lances"]:
        yield "lances", _version(Lance, lance, lance["code"], apart=True)


def _version(shape: type, row: Mapping[str, Any], code: str, *, apart: bool) -> tuple[str, date, Any]:
    """Code, day and data of a row; `apart` when the day is not part of the data itself."""
    values = dict(row)
    day = values.pop("in_force_from", ALWAYS) if apart else values["in_force_from"]
    return code, day, to_json(from_json(shape, to_json(values)))


def _add(
    connection: Connection, firm_id: UUID, kind: str, code: str, day: date, data: Any, *, now: datetime
) -> bool:
    known = dated.in_force(connection, kind, firm_id=firm_id, code=code, on=day)
    if known and known["data"] == data:
        return False
    added = dated.add(connection, kind, firm_id=firm_id, code=code, in_force_from=day, data=data, now=now)
    journal.note(connection, firm_id, kind, added)
    return True


def id_of(database: Engine, code: str) -> UUID:
    """The id of the firm with this code; raises NotKnown when there is none."""
    with reading(database) as connection:
        firm = firms.by_code(connection, code)
    if firm is None:
        raise NotKnown(message("firm.not_known", code=code))
    found: UUID = firm["id"]
    return found
