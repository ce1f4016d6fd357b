import pytest

from service.engine.ground.messages import message
from service.engine.survey.cavity import Displaced
from service.engine.survey.fields import displaced_faults, framing_faults, opening_faults
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
        ({"spacing_mm": None, "members": 11}, []),
        ({"members": 11}, []),
        ({"members": 1}, ["/framing/members"]),
        ({"members": 302}, ["/framing/members"]),
        ({"member_mm": None, "spacing_mm": None, "members": 11}, ["/framing/member_mm"]),
        ({"spacing_mm": None, "members_at_m": (0.0, 0.7, 0.745)}, []),
        ({"members": 3, "members_at_m": (0.0, 0.7, 0.745)}, ["/framing/members"]),
        ({"members_at_m": ()}, ["/framing/members_at_m"]),
        ({"members_at_m": (0.0, 0.7, 0.7)}, ["/framing/members_at_m/2"]),
        ({"members_at_m": (0.0, -0.7)}, ["/framing/members_at_m/1"] * 2),
        ({"members_at_m": (0.0, float("nan"))}, ["/framing/members_at_m/1"]),
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
        ({"members": 4}, ["/members"]),
        ({"members_at_m": (0.0,)}, ["/members_at_m"]),
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
        ({"sill_m": 1.0}, []),
        ({"sill_m": 1.0, "count": 2}, []),
        ({"reveal_mm": -1}, ["/openings/3/reveal_mm"]),
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
    assert fault.detail == message("survey.out_of_range", least=0.001, most=1000.0, unit="m", value="-2.5")


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"volume_m3": -0.1}, ["/displaced/0/volume_m3"]),
        ({"volume_m3": 0.1, "u_m3": float("inf")}, ["/displaced/0/u_m3"]),
        ({"volume_m3": 0.1, "bay": 0}, ["/displaced/0/bay"]),
        ({"volume_m3": 0.1, "u_m3": 0.0, "bay": 3}, []),
    ],
)
def test_a_displaced_volume(fields, expected):
    assert pointers(displaced_faults(at="/displaced/0", displaced=Displaced(**fields))) == expected
