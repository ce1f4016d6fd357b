"""What a figure was worked out from: the versions of material, prices, lances and practice in force on a day.

It is stored with the quote, so that an old quote gives the same figure for ever.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.plan.pricing import PriceList
from service.engine.survey.practice import Lance, Material, Practice
from service.errors import Fault, InvalidInput
from service.store import dated
from service.usecases.base.json import from_json


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """The versions that were in force."""

    material: Material
    practice: Practice
    price_list: PriceList
    lances: tuple[Lance, ...]


def load(connection: Connection, *, firm_id: UUID, body: Mapping[str, Any], on: date) -> Basis:
    """The basis of a posted building; raises InvalidInput, naming what is not in force."""
    wanted = {
        "material": ("materials", body["material"]),
        "practice": ("practices", body["practice"]),
        "currency": ("price_lists", body["currency"]),
    }
    rows = {
        name: dated.in_force(connection, kind, firm_id=firm_id, code=code, on=on)
        for name, (kind, code) in wanted.items()
    }
    faults = [
        Fault(f"/{name}", f"Nothing is in force for {wanted[name][1]!r} on {on}.")
        for name, row in rows.items()
        if row is None
    ]
    if faults:
        raise InvalidInput(*faults)
    lances = dated.all_in_force(connection, "lances", firm_id=firm_id, on=on)
    return from_json(
        Basis,
        {
            "material": rows["material"]["data"],
            "practice": rows["practice"]["data"],
            "price_list": rows["currency"]["data"],
            "lances": [row["data"] for row in lances],
        },
    )
