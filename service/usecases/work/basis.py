"""What a figure was worked out from: the versions of material, prices, lances and practice in force on a day.

It is stored with the quote, so that an old quote gives the same figure for ever.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.engine.plan.pricing import PriceList
from service.engine.survey.practice import Lance, Material, Practice
from service.errors import Fault, InvalidInput
from service.store import dated
from service.usecases.base.json import from_json
from service.usecases.firm import firms
from service.usecases.work.bodies import PostedBuilding


@dataclass(frozen=True, slots=True, kw_only=True)
class InForce:
    """The versions that were in force."""

    material: Material
    practice: Practice
    price_list: PriceList
    lances: tuple[Lance, ...]


def load(connection: Connection, *, firm_id: UUID, body: PostedBuilding, on: date) -> InForce:
    """The basis of a posted building; raises InvalidInput, naming what is not in force."""

    def in_force(kind: str, code: str) -> Any:
        row = dated.in_force(connection, kind, firm_id=firm_id, code=code, on=on)
        return row["data"] if row else None

    lances = [row["data"] for row in dated.all_in_force(connection, "lances", firm_id=firm_id, on=on)]
    return _basis(body, on, in_force, lances)


def of_files(firm: Mapping[str, Any], *, body: PostedBuilding, on: date) -> InForce:
    """The same for a firm as it is read from its files, which no database has to know."""
    oldest_first = sorted(firms.versions(firm), key=lambda version: version[1][1])
    latest = {(kind, code): data for kind, (code, day, data) in oldest_first if day <= on}
    lances = [latest[kind, code] for kind, code in sorted(latest) if kind == "lances"]
    return _basis(body, on, lambda kind, code: latest.get((kind, code)), lances)


def _basis(body: PostedBuilding, on: date, in_force: Callable[[str, str], Any], lances: list[Any]) -> InForce:
    wanted = {
        "material": ("materials", body["material"]),
        "practice": ("practices", body["practice"]),
        "currency": ("price_lists", body["currency"]),
    }
    found = {name: in_force(kind, code) for name, (kind, code) in wanted.items()}
    faults = [
        Fault(f"/{name}", message("firm.nothing_in_force", code=wanted[name][1], day=on))
        for name, data in found.items()
        if data is None
    ]
    if faults:
        raise InvalidInput(*faults)
    return from_json(
        InForce,
        {
            "material": found["material"],
            "practice": found["practice"],
            "price_list": found["currency"],
            "lances": lances,
        },
    )
