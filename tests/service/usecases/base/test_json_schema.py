"""The schema of a dataclass says of its JSON what `to_json` makes: held against a validator from outside."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Annotated, Any, Literal
from uuid import UUID

import pytest
from jsonschema import Draft202012Validator

from service.engine.ground.messages import Message, message
from service.engine.ground.shapes import Kilograms, Unit
from service.engine.ground.vocabulary import Element
from service.usecases.base.json import to_json
from service.usecases.base.json_schema import json_schema


@dataclass(frozen=True, slots=True, kw_only=True)
class Innermost:
    """What is in a part."""

    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Inner:
    """A part, perhaps with others in it."""

    mass_kg: Annotated[Kilograms, "its mass"]
    others: Annotated[tuple[Innermost, ...], "what is in it"] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """A member
    of every kind."""

    kind: Annotated[Literal["whole-1"], "what this is"]
    element: Element
    price: Decimal
    day: date
    moment: datetime
    id: UUID
    count: Annotated[int, Unit("")]
    pair: tuple[float, str]
    named: Mapping[str, bool]
    inner: Annotated[Inner | None, "may be missing"]
    words: Message
    anything: Any = None


WHOLE = Whole(
    kind="whole-1",
    element=Element.WALL,
    price=Decimal("10.10"),
    day=date(2026, 11, 25),
    moment=datetime(2026, 11, 25, tzinfo=UTC),
    id=UUID(int=1),
    count=3,
    pair=(1.5, "x"),
    named={"a": True},
    inner=Inner(mass_kg=1, others=(Innermost(note="x"),)),
    words=message("keeping.no_anchor"),
)
SCHEMA = json_schema(Whole, name="urn:whole", title="A whole")
VALID = Draft202012Validator(SCHEMA)


def plain(**changes: Any) -> Any:
    return {**json.loads(json.dumps(to_json(WHOLE))), **changes}


def test_it_is_a_schema_and_takes_what_it_is_of() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    VALID.validate(plain())
    VALID.validate(plain(inner=None))


@pytest.mark.parametrize(
    "changes",
    [
        {"kind": "whole-2"},
        {"element": "window"},
        {"price": 10.1},
        {"price": "ten"},
        {"count": 1.5},
        {"count": True},
        {"pair": [1.5]},
        {"pair": [1.5, "x", 2]},
        {"named": {"a": 1}},
        {"inner": {"mass_kg": 1}},
        {"inner": {"mass_kg": 1, "others": [{"note": 1}]}},
        {"words": {"code": "a", "values": {}}},
        {"client": "somebody"},
    ],
)
def test_it_takes_nothing_else(changes: dict[str, Any]) -> None:
    assert not VALID.is_valid(plain(**changes))


@pytest.mark.parametrize("name", plain())
def test_nothing_may_be_missing(name: str) -> None:
    lacking = plain()
    del lacking[name]
    assert not VALID.is_valid(lacking)


def test_what_is_kept_as_it_was_posted_may_lack_what_has_a_default() -> None:
    schema = json_schema(Whole, name="urn:whole", title="A whole", posted=(Inner,))
    assert Draft202012Validator(schema).is_valid(plain(inner={"mass_kg": 1}))
    assert not Draft202012Validator(schema).is_valid(plain(inner={"others": []}))


def test_meaning_and_unit_are_told() -> None:
    assert SCHEMA["$defs"]["Inner"]["properties"]["mass_kg"] == {
        "type": "number",
        "description": "its mass",
        "x-unit": "kg",
    }
    assert SCHEMA["$defs"]["Whole"]["description"] == "A member of every kind."


def test_a_type_that_has_no_json_has_no_schema() -> None:
    @dataclass
    class Odd:
        """Holds what JSON has not."""

        numbers: set[int]

    with pytest.raises(TypeError, match="no schema for"):
        json_schema(Odd, name="urn:odd", title="Odd")
