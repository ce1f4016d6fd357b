import pytest

from service.engine.survey.fields import framing_faults, opening_faults
from tests.builders import fraction, framing, opening


def pointers(faults):
    return [fault.pointer for fault in faults]


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"member_mm": None, "spacing_mm": None}, ["/framing"]),
        ({"member_mm": None}, ["/framing/member_mm"]),
        ({"spacing_mm": None}, ["/framing/spacing_mm"]),
        ({"member_mm": 625}, ["/framing/member_mm"]),
        ({"timber_fraction_u": 0.02}, ["/framing/timber_fraction_u"]),
        ({"blocking_rows": 1}, ["/framing/blocking_mm"]),
        ({"blocking_mm": 45}, ["/framing/blocking_rows"]),
        ({"blocking_rows": -1, "blocking_mm": 45}, ["/framing/blocking_rows"]),
        (
            {"timber_fraction": 0.15},
            ["/framing/member_mm", "/framing/spacing_mm", "/framing/plates_mm"],
        ),
        ({"blocking_rows": 2, "blocking_mm": 45, "runs": "across"}, []),
    ],
)
def test_members(fields, expected):
    assert pointers(framing_faults(at="/framing", framing=framing(**fields))) == expected


@pytest.mark.parametrize("share", [-0.01, 1.0, 1.5, float("nan"), float("inf")])
def test_a_timber_fraction_leaves_some_room(share):
    assert pointers(framing_faults(at="", framing=fraction(share))) == ["/timber_fraction"]


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"timber_fraction_u": -0.01}, ["/timber_fraction_u"]),
        ({"timber_fraction_u": float("nan")}, ["/timber_fraction_u"]),
        ({"member_mm": 0}, ["/member_mm"]),
        ({"plates_mm": 90}, ["/plates_mm"]),
        ({"blocking_rows": 1, "blocking_mm": 45}, ["/blocking_rows"]),
        ({"timber_fraction_u": None}, []),
    ],
)
def test_a_timber_fraction_stands_alone(fields, expected):
    assert pointers(framing_faults(at="", framing=fraction(0.15, **fields))) == expected


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"left_m": 1.0}, ["/openings/3/sill_m"]),
        ({"sill_m": 1.0}, ["/openings/3/left_m"]),
        ({"left_m": 1.0, "sill_m": 1.0, "count": 2}, ["/openings/3/count"]),
        ({"count": 0}, ["/openings/3/count"]),
        ({"count": 2, "trim_mm": 45}, []),
        ({"left_m": 0.0, "sill_m": 0.0}, []),
    ],
)
def test_an_opening(fields, expected):
    assert pointers(opening_faults(at="/openings/3", opening=opening(**fields))) == expected


def test_a_fault_says_what_would_do():
    (fault,) = opening_faults(at="/openings/0", opening=opening(width_m=-2.5))
    assert fault.detail == "The value must be from 0.001 to 1000 m, not -2.5."
