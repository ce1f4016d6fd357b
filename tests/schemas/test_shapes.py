"""What comes in and the dataclass that it becomes have the same fields, and a field says itself once."""

from dataclasses import fields
from typing import Annotated

import pytest

from schemas import takeoffs  # noqa: F401 - what it describes must be known
from schemas.answers import POSTING
from schemas.shapes import POSTED, left_out, shape_of
from service.engine.ground.shapes import KgPerM3, Metres, Probability, Range, Unit
from service.engine.survey.uncertainties import Uncertainties

# What a version of something has beside what the engine reads, and what an address says.
APART = {"in_force_from", "code"}
# What the engine can read and nobody can post yet.
NOT_POSTED = {"surveyed"}


def test_everything_that_is_posted_is_described() -> None:
    assert POSTING
    assert len(POSTED) > 20


@pytest.mark.parametrize("kind", POSTED, ids=lambda kind: kind.__name__)
def test_a_schema_has_fields_of_its_dataclass_alone(kind: type) -> None:
    posted = POSTED[kind]()
    assert posted.fields.keys() - APART <= {field.name for field in fields(kind)}


@pytest.mark.parametrize(
    "kind", [kind for kind in POSTED if kind is not Uncertainties], ids=lambda kind: kind.__name__
)
def test_whatever_the_engine_reads_can_be_posted(kind: type) -> None:
    posted = POSTED[kind]()
    assert {field.name for field in fields(kind)} - APART - NOT_POSTED <= posted.fields.keys()


@pytest.mark.parametrize("kind", POSTED, ids=lambda kind: kind.__name__)
def test_only_what_has_a_default_may_be_left_out(kind: type) -> None:
    posted = POSTED[kind]()
    optional = {name for name, field in posted.fields.items() if not field.required}
    assert optional - APART <= left_out(kind)


def test_a_field_says_type_unit_range_and_meaning() -> None:
    said = shape_of(Annotated[KgPerM3 | None, "density as blown"])
    assert (said.kind, said.unit, said.nullable) == (float, Unit("kg/m3"), True)
    assert said.description == "density as blown (kg/m3)"
    assert shape_of(Probability).range == Range(0, 1)


def test_several_figures_say_their_unit() -> None:
    assert shape_of(Annotated[tuple[Metres, ...], "clear widths"]).description == "clear widths (m)"


def test_a_plain_number_has_no_unit_in_its_description() -> None:
    assert shape_of(Annotated[float, Unit(""), "ratio"]).description == "ratio"


def test_the_outer_meaning_holds() -> None:
    assert shape_of(Annotated[Annotated[float, "inner"], "outer"]).meaning == "outer"
