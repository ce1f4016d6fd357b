"""A range is refused with its unit; what stands in parentheses is a unit only where it is one."""

import pytest
from marshmallow import Schema, ValidationError, fields

from schemas.cavities import Cavity, Layer
from schemas.fields import Number, Whole
from schemas.units import unit_of
from service.api.json_body import faults
from service.documents.wording.sentences import in_words
from service.engine.ground.messages import Message


def sentences(error: ValidationError) -> list[str]:
    """What is said of a body, in English."""
    return [in_words(fault.detail) for fault in faults(error.messages) if isinstance(fault.detail, Message)]


def test_a_refusal_says_the_range_with_its_unit() -> None:
    with pytest.raises(ValidationError) as raised:
        Layer().load({"depth_mm": 0})
    assert sentences(raised.value) == ["Must be from 0.1 to 10\u202f000 mm."]


@pytest.mark.parametrize(
    ("field", "said"),
    [
        (
            Number(least=5, most=200, metadata={"description": "density (kg/m3)"}),
            "Must be from 5 to 200 kg/m3.",
        ),
        (Number(least=0, most=1_000_000), "Must be from 0 to 1\u202f000\u202f000."),
        (Whole(least=0, most=2, metadata={"description": "level (ISO 6946)"}), "Must be from 0 to 2."),
    ],
)
def test_what_has_no_unit_has_a_range_alone(field: fields.Field[float], said: str) -> None:
    schema = Schema.from_dict({"x": field})()
    with pytest.raises(ValidationError) as raised:
        schema.load({"x": -1})
    assert sentences(raised.value) == [said]


def test_units_are_those_that_the_dataclass_says() -> None:
    found = {name: unit_of(field) for name, field in Cavity().fields.items()}
    assert (found["width_m"], found["pitch_deg"], found["air_gap_level"], found["label"]) == (
        "m",
        "deg",
        None,
        None,
    )
