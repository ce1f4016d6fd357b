"""What a posted building is worked out to, as a quote keeps it: its own values, and a row for each cavity."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.plan.lines import lined
from service.store.layout.quotes import BASE_OPTION
from service.usecases.base.context import Context
from service.usecases.base.json import kept, packed, to_json
from service.usecases.firm.own_texts import refuse_missing
from service.usecases.work import options, short, takeoffs
from service.usecases.work.basis import InForce
from service.usecases.work.bodies import QuoteBody
from service.usecases.work.parts import worked_out_singly


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedOut:
    """A quote's own values, the rows of its cavities, and of its options with theirs."""

    values: Mapping[str, Any]
    cavities: Sequence[Mapping[str, Any]]
    options: Sequence[Mapping[str, Any]] = ()


OF_AN_OPTION = ("body", "basis", "summary", "short", "short_singly", "total")
BODY = (
    *("language", "practice", "material", "travel_km", "extras", *takeoffs.SALE),
    *("price_list", "notes", "starts_on", "valid_days", "display"),
)


def worked_out(context: Context, body: QuoteBody, bases: Sequence[InForce]) -> WorkedOut:
    """A quote's own values and its cavities', from the posted building; and each option's by its own basis.

    Outside of any transaction: it may take many seconds, and others write meanwhile.
    """
    alone = _alone(context, body, bases[0], BASE_OPTION)
    cavities, rows = [*alone.cavities], []
    for place, building in enumerate(options.buildings(body)):
        with options.named_in(body, place, building):
            other = _alone(context, building, bases[place + 1], options.number(place))
        cavities += other.cavities
        row = {name: _counted(other.values, body)[name] for name in OF_AN_OPTION}
        rows.append({"option": options.number(place), "text": body["options"][place]["text"], **row})
    return WorkedOut(values=_counted(alone.values, body), cavities=cavities, options=rows)


def _counted(values: Mapping[str, Any], body: QuoteBody) -> Mapping[str, Any]:
    """The values, with how many options there are: what has none says nothing of them."""
    count = len(body.get("options", ()))
    return {**values, "body": {**values["body"], "options": count}} if count else values


def _alone(context: Context, body: QuoteBody, in_force: InForce, option: str) -> WorkedOut:
    """A building worked out by itself, as an offer or as an option of one."""
    on = takeoffs.day_of(context, body)
    refuse_missing(
        language=body["language"],
        practice=in_force.practice,
        material=in_force.material,
        price_list=in_force.price_list,
    )
    found = takeoffs.work_out(in_force, body, on)
    posted = {name: value for name, value in body.items() if name in BODY}
    site = {name: value for name, value in body["site"].items() if name != "address"}
    summary = to_json(replace(found, cavities=()))
    del summary["cavities"]
    rows = cavity_rows(in_force, takeoffs.surveyed_by(in_force, body), found.cavities)
    in_short, singly = short.kept(summary, rows)
    values = {
        "reference": body["reference"],
        "body": to_json({**posted, "site": site, "priced_on": on}),
        "basis": kept(in_force),
        "summary": summary,
        "short": in_short,
        "short_singly": singly,
        "currency": found.price.currency,
        "total": found.price.total,
        "updated_at": context.now,
    }
    return WorkedOut(values=values, cavities=[{**row, "option": option} for row in rows])


def cavity_rows(
    basis: InForce, surveyed: Sequence[Mapping[str, Any]], found: Sequence[CavityTakeoff]
) -> list[dict[str, Any]]:
    """The rows of cavities as they were surveyed and worked out, but for whose they are."""
    return [_cavity_row(basis, *each) for each in zip(surveyed, found, strict=True)]


def _cavity_row(basis: InForce, surveyed: Mapping[str, Any], found: CavityTakeoff) -> dict[str, Any]:
    single = worked_out_singly(basis, surveyed) if found.count > 1 else None
    return {
        **{name: getattr(found, name) for name in ("label", "element", "mass_kg", "count")},
        "surveyed": kept(surveyed),
        "planned": packed(found),
        "single": packed(single) if single else None,
        "line": _line(basis, found),
        "single_line": _line(basis, single) if single else None,
    }


def _line(basis: InForce, found: CavityTakeoff) -> Any:
    return to_json(lined(found=found, material=basis.material, practice=basis.practice))
