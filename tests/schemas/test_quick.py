"""What is read quickly is what marshmallow reads, in type and order; what it refuses is left to it."""

from collections.abc import Iterator
from typing import Any

import pytest
from marshmallow import Schema, ValidationError, fields, post_load

from schemas.build_ups import BuildUpBody
from schemas.fields import Several, Text, Whole
from schemas.materials import MaterialBody
from schemas.practice import PracticeBody
from schemas.price_lists import PriceListBody
from schemas.quick import reader
from schemas.quotes import QuoteBody
from schemas.takeoffs import TakeoffBody, TakeoffQuery
from tests.pointers import GONE, changed, demo

BUILDING = demo("building.json")
CAVITY = max(BUILDING["cavities"], key=lambda each: len(str(each)))
# What an office adds to it, and few cavities: each is read with many values in the place of its own.
WHOLE = {
    **BUILDING,
    "client": {
        **BUILDING["client"],
        "phone": "+49 30 1",
        "billing_address": "An der Höhe 1\n0000 Musterdorf",
    },
    "cavities": [CAVITY, {**CAVITY, "label": "Größe", "count": 2, "dividers": True}],
    "extras": [{"code": "X", "quantity": 2}],
    "lines": [{"text": "Gerüst", "quantity": 1, "unit": "lump", "unit_price": "120.00"}],
    "discount": {"percent": "3", "reason": "the neighbour's too"},
    "notes": ["In May."],
    "starts_on": "2026-12-01",
    "options": [
        {"text": "A row fewer", "without": [CAVITY["label"]]},
        {"text": "Other", "cavities": [CAVITY]},
    ],
}


def _of_demo(schema: Schema, file: str) -> tuple[Schema, Any]:
    """A file of the demo firm as it is posted: its address says the code."""
    return schema, {name: value for name, value in demo(file).items() if name in schema.fields}


BODIES: list[tuple[Schema, Any]] = [
    (QuoteBody(), WHOLE),
    _of_demo(MaterialBody(), "materials/cf-std.json"),
    _of_demo(PriceListBody(), "price-lists/eur-2026-10-01.json"),
    _of_demo(BuildUpBody(), "build-ups/ew-360.json"),
]
LONG = [(TakeoffBody(), {**BUILDING, "explain": True}), _of_demo(PracticeBody(), "practice/eu.json")]
ODD: tuple[Any, ...] = (
    *(None, True, 0, 1, 3.0, 2.5, -1, 10**9, float("nan"), float("inf"), GONE),
    *("", " ", "x", "x" * 2000, "Maße", "a\u200bb", "a\nb", "wall", "1.00", "2026-12-01"),
    *([], [1], {}, {"colour": "red"}),
)


def _pointers(value: Any, at: str = "", seen: set[str] | None = None) -> Iterator[str]:
    """Where members are; of alike elements of a list those that the ones before it do not have."""
    seen = set() if seen is None else seen
    named = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, member in named:
        pointer = f"{at}/{name}"
        alike = "/".join("*" if step.isdigit() else step for step in pointer.split("/"))
        if alike not in seen:
            seen.add(alike)
            yield pointer
        yield from _pointers(member, pointer, seen)


@pytest.mark.parametrize(("schema", "body"), [*BODIES, *LONG], ids=lambda each: type(each).__name__)
def test_what_is_right_is_read_the_same(schema: Schema, body: Any) -> None:
    assert repr(reader(schema)(body)) == repr(schema.load(body))


@pytest.mark.parametrize(("schema", "body"), BODIES, ids=lambda each: type(each).__name__)
def test_what_is_odd_is_read_the_same_or_left_to_marshmallow(schema: Schema, body: Any) -> None:
    read, taken = reader(schema), 0
    places = [(pointer, value) for pointer in _pointers(body) for value in ODD]
    for pointer, value in [*places, ("/colour", "red")]:
        sent = changed(body, pointer, value)
        try:
            found = read(sent)
        except ValidationError:
            continue
        taken += 1
        assert repr(found) == repr(schema.load(sent)), (pointer, value)
    assert 0 < taken < len(places)


@pytest.mark.parametrize("odd", [None, [], "text", [BUILDING]], ids=str)
def test_what_is_no_object_is_left_to_marshmallow(odd: Any) -> None:
    with pytest.raises(ValidationError):
        reader(QuoteBody())(odd)


def test_what_is_left_out_has_its_value() -> None:
    schema = TakeoffQuery()
    assert reader(schema)({}) == schema.load({}) == {"working": False}


class _Made(Schema):
    count = Whole(least=1, most=3)

    @post_load
    def make(self, data: dict[str, Any], **_options: Any) -> tuple[Any, ...]:
        return tuple(data.items())


class _Holding(Schema):
    made = Several(fields.Nested(_Made), most=2)
    few = fields.List(Text())
    other = fields.Nested(_Made(partial=True))


def test_what_a_schema_asks_beyond_that_marshmallow_does() -> None:
    schema = _Holding()
    sent = {"made": [{"count": 2}], "few": ["x"], "other": {}}
    assert repr(reader(schema)(sent)) == repr(schema.load(sent))
    assert reader(schema)(sent)["made"] == [(("count", 2),)]
