"""Options of an offer: the same building otherwise, each worked out whole. The client accepts one of them."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, cast

from sqlalchemy import Connection

from service.engine.ground.messages import Message, message
from service.errors import Fault, InvalidInput
from service.store import quote_options, quotes
from service.store.layout.quotes import BASE_OPTION
from service.store.row_types import QuoteHead
from service.usecases.work.bodies import OptionBody, PostedBuilding

TOTALS = ("mass_kg", "bags", "crew_hours", "holes", "price")


def number(place: int) -> str:
    """What the option at a place of those posted is called: the first is 2."""
    return str(int(BASE_OPTION) + 1 + place)


def buildings(body: PostedBuilding) -> list[Any]:
    """The building of each option, as if posted by itself; raises InvalidInput for one that is none."""
    return [_building(body, place) for place in range(len(body.get("options", ())))]


def _building(body: PostedBuilding, place: int) -> dict[str, Any]:
    option = body["options"][place]
    if faults := list(_faults(body, option, f"/options/{place}")):
        raise InvalidInput(*faults)
    own, without = {each["label"]: each for each in option.get("cavities", ())}, option.get("without", ())
    kept = [own.pop(each["label"], each) for each in body["cavities"] if each["label"] not in without]
    alone = {name: value for name, value in body.items() if name != "options"}
    material = option.get("material", body["material"])
    return {**alone, "material": material, "cavities": [*kept, *own.values()]}


def _faults(body: PostedBuilding, option: OptionBody, at: str) -> Iterator[Fault]:
    there = [each["label"] for each in body["cavities"]]
    without, own = option.get("without", []), [each["label"] for each in option.get("cavities", ())]
    for index, label in enumerate(without):
        if label not in there:
            yield Fault(f"{at}/without/{index}", message("quotes.no_such_cavity", cavity=label))
        if label in without[:index] or label in own:
            yield Fault(f"{at}/without/{index}", message("quotes.option_names_twice", cavity=label))
    for index, label in enumerate(own):
        if label in own[:index]:
            yield Fault(f"{at}/cavities/{index}/label", message("quotes.option_names_twice", cavity=label))
    if not own and set(there) <= set(without):
        yield Fault(f"{at}/without", message("quotes.option_of_nothing"))


@contextmanager
def named_in(body: PostedBuilding, place: int, building: Mapping[str, Any]) -> Iterator[None]:
    """Let what is refused of an option's building be named where the option says it."""
    try:
        yield
    except InvalidInput as error:
        faults = (Fault(_where(each.pointer, body, place, building), each.detail) for each in error.faults)
        raise InvalidInput(*faults) from None


def _where(pointer: str, body: PostedBuilding, place: int, building: Mapping[str, Any]) -> str:
    option, at = body["options"][place], f"/options/{place}"
    own = [each["label"] for each in option.get("cavities", ())]
    match pointer.split("/"):
        case ["", "cavities", index, *members] if (label := building["cavities"][int(index)]["label"]) in own:
            return "/".join((at, "cavities", str(own.index(label)), *members))
    return f"{at}/material" if "material" in option else at


def side_by_side(connection: Connection, quote: QuoteHead, accepted: str | None) -> list[dict[str, Any]]:
    """The options of a quote as they are answered, 1 among them; none where there is no choice."""
    if "options" not in quote["body"]:
        return []
    rows, lines = quote_options.totals(connection, quote["id"]), quote_options.lines(connection, quote["id"])
    base = rows[0]
    return [
        {
            "option": row["option"],
            "text": row["text"],
            "material": row["body"]["material"],
            **_otherwise(lines[BASE_OPTION], lines[row["option"]]),
            **{name: row["summary"][name] for name in TOTALS},
            "more": row["total"] - base["total"],
            "accepted": row["option"] == accepted,
        }
        for row in rows
    ]


def _otherwise(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """The cavities of an option that come out otherwise than by themselves, and those that it leaves out."""
    return {
        "cavities": [line for label, line in own.items() if line != base.get(label)],
        "without": [label for label in base if label not in own],
    }


def chosen(quote: QuoteHead, said: str | None) -> str | None:
    """The option that is accepted; raises InvalidInput for one that there is not, or where none is named."""
    count = quote["body"].get("options", 0)
    if not count:
        if said not in (None, BASE_OPTION):
            raise _unknown(message("quotes.no_options"))
        return None
    there = (BASE_OPTION, *(number(place) for place in range(count)))
    if said not in there:
        raise _unknown(message("quotes.option_to_choose", options=there))
    return said


def _unknown(said: Message) -> InvalidInput:
    return InvalidInput(Fault("/option", said))


def posted_again(connection: Connection, quote: QuoteHead) -> list[OptionBody]:
    """The options of a quote as they would be posted again."""
    if "options" not in quote["body"]:
        return []
    offered = quotes.cavities_offered(connection, quote["id"])
    base = {row["label"]: row["surveyed"] for row in offered if row["option"] == BASE_OPTION}
    found = []
    for row in quote_options.of_quote(connection, quote["id"]):
        own = {each["label"]: each["surveyed"] for each in offered if each["option"] == row["option"]}
        material = row["body"]["material"]
        again = {
            "cavities": [surveyed for label, surveyed in own.items() if surveyed != base.get(label)],
            "without": [label for label in base if label not in own],
            "material": material if material != quote["body"]["material"] else None,
        }
        found.append({"text": row["text"], **{name: value for name, value in again.items() if value}})
    return cast("list[OptionBody]", found)
