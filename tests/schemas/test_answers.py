"""Answers' schemas: what a dataclass says is what the document says, and figures are rounded for people."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Any

import orjson
import pytest
from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin

from schemas.answers import answer, significant
from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.shapes import Degrees, KgPerM3, Kilograms, Probability, Range, Unit
from service.engine.survey.practice import Reading
from service.store.types import Deflated
from service.usecases.base.json import to_json


class Colour(StrEnum):
    GREY = "grey"
    WHITE = "white"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    """A bag."""

    mass_kg: Annotated[Kilograms, "net mass"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pallet:
    """Bags on a pallet."""

    density_kg_m3: Annotated[KgPerM3 | None, "density in the bag"]
    share: Annotated[Probability, "share of the load"]
    bags: Annotated[tuple[Bag, ...], "every bag"]
    spare: Annotated[Bag | None, "a bag beside"]
    colour: Annotated[Colour, "colour of the wrap"]
    month: Annotated[int, Range(1, 12), "month of making"]
    latitude: Annotated[Degrees, "where it stands"]
    said: Annotated[tuple[Message, ...], "what there is to say"] = ()


def components() -> dict[str, Any]:
    """The document's components for a pallet."""
    spec = APISpec("t", "1", "3.1.0", plugins=[MarshmallowPlugin()])
    spec.components.schema("Pallet", schema=answer(Pallet))
    return spec.to_dict()["components"]["schemas"]


def test_a_dataclass_says_the_whole_schema() -> None:
    said = components()["Pallet"]
    properties = said["properties"]
    assert sorted(said["required"]) == sorted(properties.keys() - {"said"})
    assert properties["density_kg_m3"] == {
        "type": ["number", "null"],
        "description": "density in the bag (kg/m3)",
    }
    assert (properties["share"]["minimum"], properties["share"]["maximum"]) == (0, 1)
    assert properties["colour"]["enum"] == ["grey", "white"]
    assert properties["month"] == {
        "type": "integer",
        "minimum": 1,
        "maximum": 12,
        "description": "month of making",
    }
    assert properties["bags"]["items"] == {"$ref": "#/components/schemas/Bag"}
    assert {"$ref": "#/components/schemas/Bag"} in properties["spare"]["anyOf"]
    assert properties["spare"]["description"] == "a bag beside"
    assert properties["said"]["items"] == {"$ref": "#/components/schemas/Sentence"}


def test_only_calculated_figures_are_rounded() -> None:
    said = message("pallet.heavy", mass=Quantity(43.199999999999996, "kg"), count=3)
    pallet = Pallet(
        density_kg_m3=None,
        share=1 / 3,
        bags=(Bag(mass_kg=43.199999999999996), Bag(mass_kg=12)),
        spare=Bag(mass_kg=0.1 + 0.2),
        colour=Colour.GREY,
        month=3,
        latitude=48.20849283745,
        said=(said,),
    )
    shown = answer(Pallet)().dump(to_json(pallet))
    assert shown["share"] == 0.333333
    assert shown["bags"] == [{"mass_kg": 43.2}, {"mass_kg": 12}]
    assert shown["spare"] == {"mass_kg": 0.3}
    assert shown["density_kg_m3"] is None
    assert shown["latitude"] == 48.20849283745
    assert shown["said"][0]["values"] == {"mass": {"value": 43.2, "unit": "kg"}, "count": 3}


def test_what_was_posted_is_shown_unrounded_and_without_what_was_left_out() -> None:
    @dataclass(frozen=True)
    class Asked:
        reading: Annotated[Reading, "the number that is asked for"]

    asked = Asked(reading=Reading(unit="%", most=20.123456789))
    assert answer(Asked)().dump(to_json(asked)) == {"reading": {"unit": "%", "most": 20.123456789}}


def test_the_record_keeps_every_digit() -> None:
    plain = to_json(Bag(mass_kg=43.199999999999996))
    answer(Bag)().dump(plain)
    assert plain == {"mass_kg": 43.199999999999996}


def test_a_type_without_a_field_is_refused() -> None:
    @dataclass(frozen=True)
    class Odd:
        what: Annotated[complex, Unit(""), "nothing JSON knows"]

    with pytest.raises(KeyError):
        answer(Odd)


@pytest.mark.parametrize(
    ("figure", "shown"),
    [(43.199999999999996, 43.2), (0.1 + 0.2, 0.3), (1234567.8, 1234570.0), (0.0, 0.0), (-2 / 3, -0.666667)],
)
def test_significant_digits(figure: float, shown: float) -> None:
    assert significant(figure) == shown


def test_what_is_deflated_is_rounded_and_written_at_once() -> None:
    bag = {"mass_kg": 12.3456789}
    dumped = answer(Bag)().dump([bag, Deflated.of(bag)], many=True)
    assert orjson.loads(orjson.dumps(dumped)) == [{"mass_kg": 12.3457}] * 2
