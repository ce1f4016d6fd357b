"""Takeoffs: everything that follows from a building, and nothing stored."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import zip_longest
from typing import Annotated, Any

from sqlalchemy import Connection

from service.engine.ground.explanation import Explanation
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Runs
from service.engine.ground.working import Working
from service.engine.moisture.explain_moisture import explain_moisture
from service.engine.moisture.moisture import Moisture, moisture
from service.engine.plan.explain import explain
from service.engine.plan.lines import lined
from service.engine.plan.takeoff import Building, Takeoff, Worked, takeoff
from service.engine.plan.variants import Densities, densities
from service.engine.survey.climate import Climate
from service.errors import Fault, InvalidInput
from service.settings import Settings
from service.usecases.base.context import Context, reads
from service.usecases.base.json import from_json, to_json
from service.usecases.work.basis import InForce, load
from service.usecases.work.basis import of_files as basis_of_files
from service.usecases.work.bodies import PostedBuilding
from service.usecases.work.expanded import expanded, where_posted
from service.usecases.work.short import short

# Some twenty seconds of work on a small machine.
MOST_BAYS = 100_000
MOST_OPENINGS = 10_000
SALE = ("lines", "discount", "tax", "payments")
SURVEYED = ("cavities", "travel_km", "extras")


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeoffAnswer(Takeoff):
    """A building worked out, with what else was asked for; what was not is left out."""

    explanations: Annotated[tuple[Explanation, ...], "the working behind every figure"] = ()
    what_if: Annotated[tuple[Densities, ...], "what other densities would take"] = ()
    moisture: Annotated[tuple[Moisture, ...], "the moisture indicator"] = ()


@reads
def create(
    connection: Connection, context: Context, body: PostedBuilding, *, working: bool = False
) -> Mapping[str, Any]:
    """The takeoff of a posted building, by what is in force on its day, and what else was asked for.

    It is the short one, unless its `working` is asked for, or what is shown only in one.
    """
    check_size(context.settings, body)
    on = day_of(context, body)
    return _answer(load(connection, firm_id=context.firm_id, body=body, on=on), body, on, working=working)


def of_files(
    settings: Settings, firm: Mapping[str, Any], body: PostedBuilding, today: date, *, working: bool = False
) -> Any:
    """The same by what stands in a firm's files, without a database."""
    check_size(settings, body)
    on = body.get("priced_on") or today
    return to_json(_answer(basis_of_files(firm, body=body, on=on), body, on, working=working))


def _answer(basis: InForce, body: PostedBuilding, on: date, *, working: bool) -> Mapping[str, Any]:
    if working or body.get("explain") or body.get("what_if") or body.get("climate"):
        return _in_full(basis, body, on)
    found = work_out(basis, body, on)
    lines = [lined(found=each, material=basis.material, practice=basis.practice) for each in found.cavities]
    return short(to_json(replace(found, cavities=())), to_json(lines))


def _in_full(basis: InForce, body: PostedBuilding, on: date) -> Mapping[str, Any]:
    workings = tuple(Working() for _ in body["cavities"]) if body.get("explain") else ()
    found = work_out(basis, body, on, workings)
    return {**to_json(found), **_asked_for(basis, body, found, workings)}


def _asked_for(
    basis: InForce, body: PostedBuilding, found: Takeoff, workings: tuple[Working, ...]
) -> dict[str, Any]:
    worked = Worked(
        building=building_of(basis, body),
        found=found,
        material=basis.material,
        practice=basis.practice,
        price_list=basis.price_list,
        lances=basis.lances,
        workings=workings,
    )
    answer: dict[str, Any] = {}
    if body.get("explain"):
        answer["explanations"] = explain(worked=worked)
    if body.get("what_if"):
        answer["what_if"] = densities(worked=worked)
    if given := body.get("climate"):
        climate = from_json(Climate, to_json(given))
        damp = answer["moisture"] = _moisture(worked, climate, body["cavities"])
        if body.get("explain"):
            answer["explanations"] += explain_moisture(worked=worked, found=damp)
    return answer


def _moisture(
    worked: Worked, climate: Climate, cavities: Sequence[Mapping[str, Any]]
) -> tuple[Moisture, ...]:
    found: list[Moisture] = []
    faults: list[Fault] = []
    for index, (cavity, working) in enumerate(zip_longest(worked.building.cavities, worked.workings)):
        try:
            found.append(moisture(cavity=cavity, material=worked.material, climate=climate, working=working))
        except InvalidInput as error:
            faults += error.under(f"/cavities/{index}").faults
    if faults:
        raise where_posted(InvalidInput(*faults), cavities)
    return tuple(found)


def day_of(context: Context, body: PostedBuilding) -> date:
    """The day whose prices hold: as sent, else today."""
    return body.get("priced_on") or context.now.date()


def check_size(settings: Settings, body: Mapping[str, Any]) -> None:
    """Refuse a building that is more work than one request may ask for."""
    cavities = body["cavities"]
    _at_most(sum(map(_count, cavities)), settings.cavity_limit, "cavities")
    _check_bays(cavities)
    _at_most(sum(map(_openings, cavities)), MOST_OPENINGS, "openings")


def _check_bays(cavities: Sequence[Mapping[str, Any]]) -> None:
    _at_most(sum(_count(cavity) * _bays(cavity) for cavity in cavities), MOST_BAYS, "bays")


def _at_most(number: float, most: int, what: str) -> None:
    if number > most:
        raise InvalidInput(Fault("/cavities", message(f"quotes.too_many_{what}", most=most)))


def _count(cavity: Mapping[str, Any]) -> int:
    """Identical cavities are held one by one once an offer is accepted."""
    count: int = cavity.get("count", 1)
    return count


def _openings(cavity: Mapping[str, Any]) -> int:
    return _count(cavity) * len(cavity.get("openings", ()))


def _bays(cavity: Mapping[str, Any]) -> float:
    """About how many bays all layers of a cavity have: what its takeoff is work for."""
    framings = [layer["framing"] for layer in cavity.get("layers", ()) if "framing" in layer]
    bays: float = sum(
        _members(cavity, framing) * (1 + framing.get("blocking_rows", 0)) for framing in framings
    )
    return bays


def _members(cavity: Mapping[str, Any], framing: Mapping[str, Any]) -> float:
    if "members_at_m" in framing:
        return len(framing["members_at_m"])
    if "members" in framing:
        members: int = framing["members"]
        return members
    across_m: float = cavity["span_m" if framing.get("runs") == Runs.ACROSS else "width_m"]
    return across_m * 1000 / framing["spacing_mm"] if "spacing_mm" in framing else 1


def surveyed_by(basis: InForce, body: PostedBuilding) -> list[Mapping[str, Any]]:
    """The cavities of a posted building with the layers of the build-ups that they name.

    Raises InvalidInput where they are more work than one request may ask for.
    """
    cavities = expanded(body["cavities"], basis.build_ups)
    _check_bays(cavities)
    return cavities


def work_out(
    basis: InForce,
    body: PostedBuilding,
    on: date,
    workings: tuple[Working, ...] = (),
) -> Takeoff:
    """The takeoff of a posted building on this basis."""
    try:
        return takeoff(
            building=building_of(basis, body),
            material=basis.material,
            practice=basis.practice,
            lances=basis.lances,
            price_list=basis.price_list,
            currency=body["currency"],
            priced_on=on,
            workings=workings,
        )
    except InvalidInput as error:
        raise where_posted(error, body["cavities"]) from None


def building_of(basis: InForce, body: PostedBuilding) -> Building:
    """The engine's view of a posted building."""
    surveyed = {name: value for name, value in body.items() if name in SURVEYED}
    surveyed["cavities"] = surveyed_by(basis, body)
    built_year = body["site"].get("built_year") if "site" in body else None
    return from_json(Building, {**surveyed, "built_year": built_year, "sale": _sale(body)})


def _sale(body: PostedBuilding) -> dict[str, Any]:
    """What the office adds to the price; its own words are in the language of the offer."""
    said: dict[str, Any] = {name: value for name, value in body.items() if name in SALE}
    language = body.get("language", "en")
    said["lines"] = [{**line, "text": {language: line["text"]}} for line in said.get("lines", ())]
    return said
