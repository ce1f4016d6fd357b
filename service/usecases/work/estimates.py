"""Estimates: what a building may take before it is surveyed. Nothing is stored, until one is drafted."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, cast

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.engine.plan.estimate import Estimate, Part, estimate, presumed
from service.engine.plan.price_list import ExtraOrder
from service.errors import Fault, InvalidInput
from service.store import dated, firms
from service.usecases.base.context import Context, loads
from service.usecases.base.json import as_posted, from_json, to_json
from service.usecases.work import drafts
from service.usecases.work.basis import InForce, load
from service.usecases.work.basis import of_files as basis_of_files
from service.usecases.work.bodies import EstimateBody, EstimateDraftBody, PostedBuilding, QuoteBody

USUAL = {"practice": "practices", "material": "materials", "currency": "price_lists"}
"""What a firm has a usual one of, and the kind of dated thing that it is."""


def create(context: Context, body: EstimateBody) -> Any:
    """What a building may take, by what is in force on its day."""
    basis = _basis(context, body)
    return to_json(_estimated(basis, body, _day(context, body)))


def of_files(firm: Mapping[str, Any], body: EstimateBody, today: date) -> Any:
    """The same by what stands in a firm's files, without a database."""
    on = body.get("priced_on") or today
    return to_json(_estimated(_basis_of_files(firm, body, on), body, on))


def _basis_of_files(firm: Mapping[str, Any], body: EstimateBody, on: date) -> InForce:
    asked = _with_usual(body, firm["data"], lambda kind: _codes_of_files(firm, kind))
    return basis_of_files(firm, body=asked, on=on)


def draft(context: Context, body: EstimateDraftBody) -> Mapping[str, Any]:
    """Keep an estimate as a draft, with cavities as the firm usually finds them, for somebody to survey."""
    head = {name: value for name, value in body.items() if name != "parts"}
    return drafts.create(context, cast("QuoteBody", {**head, **presumed_for(context, body)}))


def presumed_for(context: Context, body: EstimateBody) -> dict[str, Any]:
    """What an estimate has of a quote's body: its cavities as the firm usually finds them, to be surveyed."""
    return _presumed(_basis(context, body), body)


def presumed_of_files(firm: Mapping[str, Any], body: EstimateBody, today: date) -> dict[str, Any]:
    """The same by what stands in a firm's files, without a database."""
    return _presumed(_basis_of_files(firm, body, body.get("priced_on") or today), body)


def _presumed(basis: InForce, body: EstimateBody) -> dict[str, Any]:
    cavities = presumed(parts=_parts(body), practice=basis.practice)
    return {
        "practice": basis.practice.code,
        "material": basis.material.code,
        "currency": basis.price_list.currency,
        "cavities": [as_posted(cavity) for cavity in cavities],
    }


@loads
def _basis(connection: Connection, context: Context, body: EstimateBody) -> InForce:
    firm_id, on = context.firm_id, _day(context, body)

    def codes(kind: str) -> Iterable[str]:
        return (row["code"] for row in dated.all_in_force(connection, kind, firm_id=firm_id, on=on))

    asked = _with_usual(body, firms.by_id(connection, firm_id)["data"], codes)
    return load(connection, firm_id=firm_id, body=asked, on=on)


def _day(context: Context, body: EstimateBody) -> date:
    return body.get("priced_on") or context.now.date()


def _codes_of_files(firm: Mapping[str, Any], kind: str) -> Iterable[str]:
    member = "currency" if kind == "price_lists" else "code"
    return sorted({each[member] for each in firm[kind]})


def _with_usual(body: EstimateBody, firm: Mapping[str, Any], codes: Any) -> PostedBuilding:
    """The body with the firm's usual practice, material and currency, where it names none."""
    said = {name: body.get(name) or firm.get(name) for name in USUAL}
    lacking = [name for name, value in said.items() if not value]
    if lacking:
        raise InvalidInput(
            *(
                Fault(f"/{name}", message("firm.no_usual", known=tuple(codes(USUAL[name]))))
                for name in lacking
            )
        )
    return cast("PostedBuilding", {**said, "cavities": []})


def _parts(body: EstimateBody) -> tuple[Part, ...]:
    return from_json(tuple[Part, ...], to_json(body["parts"]))


def _estimated(basis: InForce, body: EstimateBody, on: date) -> Estimate:
    return estimate(
        parts=_parts(body),
        material=basis.material,
        practice=basis.practice,
        lances=basis.lances,
        price_list=basis.price_list,
        currency=basis.price_list.currency,
        priced_on=on,
        travel_km=body.get("travel_km", 0.0),
        extras=from_json(tuple[ExtraOrder, ...], to_json(body.get("extras", []))),
    )
