"""Takeoffs: everything that follows from a building, and nothing stored."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from sqlalchemy import Connection

from service.engine.takeoff import Building, Takeoff, takeoff
from service.errors import Fault, InvalidInput
from service.usecases.basis import Basis, load
from service.usecases.context import Context, reads
from service.usecases.plain import plain, structured

ASIDE = ("reference", "client", "practice", "material", "currency", "priced_on", "site")


@reads
def create(connection: Connection, context: Context, body: Mapping[str, Any]) -> Takeoff:
    """The takeoff of a posted building, by what is in force on its day."""
    check_size(context, body)
    on = day_of(context, body)
    return work_out(load(connection, firm_id=context.firm_id, body=body, on=on), body, on)


def day_of(context: Context, body: Mapping[str, Any]) -> date:
    """The day whose prices hold: as sent, else today."""
    return body.get("priced_on") or context.now.date()


def check_size(context: Context, body: Mapping[str, Any]) -> None:
    """Refuse a building of more cavities than this installation takes at once."""
    most = context.settings.cavity_limit
    if len(body["cavities"]) > most:
        raise InvalidInput(Fault("/cavities", f"At most {most} cavities in one building."))


def work_out(basis: Basis, body: Mapping[str, Any], on: date) -> Takeoff:
    """The takeoff of a posted building on this basis."""
    return takeoff(
        building=building_of(body),
        material=basis.material,
        practice=basis.practice,
        lances=basis.lances,
        price_list=basis.price_list,
        currency=body["currency"],
        priced_on=on,
    )


def building_of(body: Mapping[str, Any]) -> Building:
    """The engine's view of a posted building."""
    surveyed = {name: value for name, value in plain(body).items() if name not in ASIDE}
    built_year = body.get("site", {}).get("built_year")
    return structured(Building, {**surveyed, "built_year": built_year})
