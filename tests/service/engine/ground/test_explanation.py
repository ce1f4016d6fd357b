"""A figure's working carries its formula's source, and its inputs in their order."""

from service.engine.ground.explanation import Input, explained
from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Standing

AREA = Formula(
    code="area",
    expression="width_m x sum(height_m)",
    source="plane geometry",
    standing=Standing.DERIVED,
)


def test_a_series_is_given_input_by_input() -> None:
    found = explained("/area_m2", 12, AREA, width_m=3, height_m=[1, 3.0])
    assert found.inputs == (
        Input(name="width_m", value=3.0),
        Input(name="height_m", value=1.0),
        Input(name="height_m", value=3.0),
    )
    assert all(type(each.value) is float for each in (found, *found.inputs))


def test_it_says_what_its_formula_says() -> None:
    found = explained("/area_m2", 12.0, AREA)
    assert (found.pointer, found.formula, found.expression) == ("/area_m2", "area", AREA.expression)
    assert found.provenance == AREA.provenance
    assert found.inputs == ()


def test_an_empty_series_is_no_input() -> None:
    assert explained("/area_m2", 0.0, AREA, height_m=()).inputs == ()
