"""A head stands for the member that it names, in the unit that it says."""

from decimal import Decimal

import pytest

from schemas.sheets import BuildUpSheet, HeadSheet, SurveySheet
from schemas.units import unit_of
from service.api.sheets.columns import Wrong, all_heads, column_of, head_of


@pytest.mark.parametrize(
    ("head", "path", "factor"),
    [
        ("width (m)", ("width_m",), "1"),
        ("Width (cm)", ("width_m",), "0.01"),
        ("span  (ft)", ("span_m",), "0.3048"),
        ("layer 2 framing member (in)", ("layers", 1, "framing", "member_mm"), "25.4"),
        ("opening 3 count", ("openings", 2, "count"), "1"),
        ("inside 1 conductivity (W/mK)", ("inside", 0, "conductivity_w_mk"), "1"),
        ("leaves_aligned", ("leaves_aligned",), "1"),
        ("fasteners per m2 (1/m2)", ("fasteners", "per_m2"), "1"),
        ("displaced 1 volume (ft3)", ("displaced", 0, "volume_m3"), "0.028316846592"),
        ("target (lb/ft3)", ("target_kg_m3",), "16.01846337396014"),
    ],
)
def test_a_head_names_a_member(head: str, path: tuple[str | int, ...], factor: str) -> None:
    column = column_of(SurveySheet(), head)
    assert (column.path, column.factor) == (path, Decimal(factor))


@pytest.mark.parametrize(
    ("head", "units"),
    [
        ("width", ("m", "mm", "cm", "in", "ft")),
        ("width (kg)", ("m", "mm", "cm", "in", "ft")),
        ("label (m)", ()),
        ("breadth (m)", None),
        ("layer 7 depth (mm)", None),
        ("layer 0 depth (mm)", None),
        ("layer depth (mm)", None),
        ("", None),
    ],
)
def test_what_names_none_says_why(head: str, units: tuple[str, ...] | None) -> None:
    with pytest.raises(Wrong) as raised:
        column_of(SurveySheet(), head)
    assert raised.value.units == units


@pytest.mark.parametrize(
    "schema", [HeadSheet(), SurveySheet(), BuildUpSheet()], ids=lambda each: type(each).__name__
)
def test_every_member_has_one_head_and_is_found_by_it(schema: HeadSheet | SurveySheet | BuildUpSheet) -> None:
    heads = [head for head, _ in all_heads(schema)]
    assert len(set(heads)) == len(heads) > 10
    for head in heads:
        column = column_of(schema, head)
        assert head_of(schema, column.path) == head
        assert column.factor == 1
        # A unit in the name is one in the head: nobody has to know our field names.
        assert unit_of(column.field) or not str(column.path[-1]).endswith(("_mm", "_m", "_m3", "_kg_m3"))


def test_the_factor_of_a_density_is_the_pound_by_the_cubic_foot() -> None:
    # 0.453 592 37 kg and 0.3048 m, both exact (NIST SP 811, B.8).
    exact = Decimal("0.45359237") / Decimal("0.3048") ** 3
    assert abs(column_of(SurveySheet(), "target (lb/ft3)").factor - exact) < Decimal("1e-13")


def test_a_cubic_foot_is_one_of_three_feet() -> None:
    assert column_of(SurveySheet(), "displaced 1 volume (ft3)").factor == Decimal("0.3048") ** 3
