"""What a figure was worked out from: the versions of material, prices, lances and practice in force on a day.

It is stored with the quote, so that an old quote gives the same figure for ever.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.engine.plan.price_list import PriceList
from service.engine.survey.build_up import BuildUp
from service.engine.survey.practice import Lance, Material, Practice
from service.errors import Fault, InvalidInput
from service.store import dated
from service.usecases.base.json import from_json, from_json_again
from service.usecases.firm import firms
from service.usecases.work.bodies import PostedBuilding


@dataclass(frozen=True, slots=True, kw_only=True)
class InForce:
    """The versions that were in force; of build-ups those that the cavities name."""

    material: Material
    practice: Practice
    price_list: PriceList
    lances: tuple[Lance, ...]
    build_ups: tuple[BuildUp, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Versions:
    """Of a kind the version of a code in force on the day, and those of all codes that have one, by code."""

    on: date
    in_force: Callable[[str, str], Any]
    every: Callable[[str], Mapping[str, Any]]
    named: Callable[[str], Any]


def load(connection: Connection, *, firm_id: UUID, body: PostedBuilding, on: date) -> InForce:
    """The basis of a posted building; raises InvalidInput, naming what is not in force and what is."""
    return _basis(body, _stored(connection, firm_id, on))


def named_build_ups(
    connection: Connection, *, firm_id: UUID, cavities: Sequence[Any], on: date
) -> tuple[BuildUp, ...]:
    """The build-ups that cavities name; raises InvalidInput for one that is not in force."""
    wanted = _named({"cavities": cavities})
    found = _found(wanted, _stored(connection, firm_id, on))
    return from_json(tuple[BuildUp, ...], list({wanted[at]: data for at, data in found.items()}.values()))


def _stored(connection: Connection, firm_id: UUID, on: date) -> _Versions:
    def in_force(kind: str, code: str) -> Any:
        row = dated.in_force(connection, kind, firm_id=firm_id, code=code, on=on)
        return row["data"] if row else None

    def every(kind: str) -> Mapping[str, Any]:
        rows = dated.all_in_force(connection, kind, firm_id=firm_id, on=on)
        return {row["code"]: row["data"] for row in rows}

    def named(code: str) -> Any:
        rows = dated.versions(connection, "price_lists", firm_id=firm_id)
        return _called([row["data"] for row in rows if row["in_force_from"] <= on], code)

    return _Versions(on=on, in_force=in_force, every=every, named=named)


def of_files(firm: Mapping[str, Any], *, body: PostedBuilding, on: date) -> InForce:
    """The same for a firm as it is read from its files, which no database has to know."""
    oldest_first = sorted(firms.versions(firm), key=lambda version: version[1][1])
    lists = [data for kind, (_, day, data) in oldest_first if kind == "price_lists" and day <= on]
    latest = {(kind, code): data for kind, (code, day, data) in oldest_first if day <= on}
    return _basis(
        body,
        _Versions(
            on=on,
            in_force=lambda kind, code: latest.get((kind, code)),
            every=lambda kind: {code: data for (of, code), data in sorted(latest.items()) if of == kind},
            named=lambda code: _called(lists, code),
        ),
    )


def _basis(body: PostedBuilding, versions: _Versions) -> InForce:
    wanted = {
        "/material": ("materials", body["material"]),
        "/practice": ("practices", body["practice"]),
        "/currency": ("price_lists", body["currency"]),
        **_named(body),
    }
    found = {pointer: versions.in_force(*each) for pointer, each in wanted.items()}
    if name := body.get("price_list"):
        found["/currency"] = versions.named(name)
        if found["/currency"] is None:
            said = message("firm.no_such_price_list", code=name, day=versions.on)
            raise InvalidInput(Fault("/price_list", said))
    faults = [_fault(pointer, *wanted[pointer], versions) for pointer, data in found.items() if data is None]
    if faults:
        raise InvalidInput(*faults)
    built = {code: found[pointer] for pointer, (kind, code) in wanted.items() if kind == "build_ups"}
    return InForce(
        material=from_json_again(Material, found["/material"]),
        practice=from_json_again(Practice, found["/practice"]),
        price_list=from_json_again(PriceList, found["/currency"]),
        lances=from_json_again(tuple[Lance, ...], list(versions.every("lances").values())),
        build_ups=from_json_again(tuple[BuildUp, ...], list(built.values())),
    )


def _called(lists: Iterable[Any], code: str) -> Any:
    """Of price lists, the oldest first, the newest that is called so; None where none is."""
    return next((data for data in reversed(list(lists)) if data["code"] == code), None)


def _found(wanted: Mapping[str, tuple[str, str]], versions: _Versions) -> dict[str, Any]:
    found = {pointer: versions.in_force(*each) for pointer, each in wanted.items()}
    faults = [_fault(pointer, *wanted[pointer], versions) for pointer, data in found.items() if data is None]
    if faults:
        raise InvalidInput(*faults)
    return found


def _named(body: Mapping[str, Any]) -> dict[str, tuple[str, str]]:
    """Where cavities name a build-up, and which."""
    return {
        f"/cavities/{index}/build_up": ("build_ups", cavity["build_up"])
        for index, cavity in enumerate(body["cavities"])
        if "build_up" in cavity
    }


def _fault(pointer: str, kind: str, code: str, versions: _Versions) -> Fault:
    known = tuple(versions.every(kind))
    if not known:
        return Fault(pointer, message("firm.nothing_of_its_kind", code=code, day=versions.on))
    return Fault(pointer, message("firm.nothing_in_force", code=code, day=versions.on, known=known))
