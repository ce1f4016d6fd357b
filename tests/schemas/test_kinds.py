"""A dataclass's fields become a schema's."""

from dataclasses import dataclass
from typing import Annotated, Any

import pytest
from marshmallow import Schema, ValidationError, fields

from schemas.fields import Flag, Number, Several, Text, Whole
from schemas.kinds import field_from, fields_from, schema_from
from service.engine.ground.shapes import Range, Unit
from service.engine.ground.vocabulary import Feel
from service.engine.site.entry import Id, Letters
from service.engine.site.entry import Several as Members

Side = Annotated[float, Unit("mm"), Range(1, 5000)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Inner:
    """A part."""

    side_mm: Annotated[Side | None, "breadth"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Outer:
    """A whole."""

    id: Annotated[Id, "who it is"]
    name: Annotated[str, Letters(5), "a name"]
    number: Annotated[int, Range(1, 9), "a number"] = 1
    sides_mm: Annotated[tuple[Side, ...], Members(1, 2), "sides"] = ()
    feel: Annotated[Feel | None, "how it feels"] = None
    done: Annotated[bool, "whether it is"] = False
    inner: Annotated[Inner | None, "a part"] = None


OUTER = schema_from(Outer)


def test_every_type_has_its_field() -> None:
    found = fields_from(Outer, without=frozenset({"done"}))
    kinds = {name: type(field) for name, field in found.items()}
    assert kinds.pop("feel").__name__ == "Word"
    assert kinds == {
        "id": fields.UUID,
        "name": Text,
        "number": Whole,
        "sides_mm": Several,
        "inner": fields.Nested,
    }
    assert isinstance(field_from(bool), Flag)
    assert isinstance(field_from(float), Number)


def test_what_has_no_default_is_required() -> None:
    found = fields_from(Outer)
    assert {name for name, field in found.items() if field.required} == {"id", "name"}


def test_meaning_and_unit_are_described() -> None:
    assert fields_from(Inner)["side_mm"].metadata == {"description": "breadth (mm)"}


@pytest.mark.parametrize(
    "wrong",
    [
        {"number": 10},
        {"name": "longer"},
        {"sides_mm": []},
        {"sides_mm": [0]},
        {"inner": {"side_mm": 0}},
        {"x": 1},
    ],
    ids=str,
)
def test_ranges_are_those_of_the_dataclass(wrong: dict[str, Any]) -> None:
    right = {"id": "0197f000-0000-7000-8000-000000000001", "name": "name", "inner": {"side_mm": 3}}
    assert OUTER().load(right)
    with pytest.raises(ValidationError) as refused:
        OUTER().load({**right, **wrong})
    assert list(refused.value.messages) == list(wrong)


def test_a_schema_is_made_once() -> None:
    assert schema_from(Outer) is OUTER
    assert issubclass(OUTER, Schema)
