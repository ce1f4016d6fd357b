import pytest

from service.engine.ground.vocabulary import Element, Facing, Fill, Market, Stage, Standing
from service.engine.plan.hold_points import HoldPoint, hold_points
from service.engine.survey.practice import HoldPointRule, Reading
from tests.builders import attic, floor, practice, roof_slope, wall


def rule(code, **fields):
    return HoldPointRule(
        code=code,
        text={"en": f"What {code} asks for; the local code and licensed trades decide."},
        source=f"source of {code}",
        **{"stage": Stage.BEFORE, "standing": Standing.PUBLISHED, **fields},
    )


RULES = (
    rule("dust_and_respirator"),
    rule("timber_moisture", per_cavity=True, fills=(Fill.DENSE,)),
    rule("recessed_luminaires", per_cavity=True, elements=(Element.FLOOR, Element.ROOF_SLOPE, Element.ATTIC)),
    rule("eaves_ventilation", per_cavity=True, elements=(Element.ATTIC,), fills=(Fill.OPEN,)),
    rule("lining_strength", facings=(Facing.BOARD, Facing.LINING)),
    rule("knob_and_tube", markets=(Market.US,), built_before=1960, standing=Standing.SECOND_HAND),
    rule("lead_paint", built_before=1978),
    rule("cable_derating", markets=(Market.EU,)),
    rule("tidy_up", stage=Stage.AFTER, safety=False, standing=Standing.COMMON_PRACTICE),
)
HOUSE = (wall(), floor(), roof_slope(), attic())


def applying(*, cavities=HOUSE, market=Market.EU, built_year=2026, rules=RULES):
    profile = practice(market=market, hold_points=rules)
    return hold_points(cavities=cavities, practice=profile, built_year=built_year)


def codes(**job):
    return [(point.code, point.cavity) for point in applying(**job)]


def test_the_points_of_a_new_house_in_order():
    assert codes() == [
        ("dust_and_respirator", None),
        ("timber_moisture", "W1"),
        ("timber_moisture", "F1"),
        ("timber_moisture", "R1"),
        ("recessed_luminaires", "F1"),
        ("recessed_luminaires", "R1"),
        ("recessed_luminaires", "A1"),
        ("eaves_ventilation", "A1"),
        ("lining_strength", None),
        ("cable_derating", None),
        ("tidy_up", None),
    ]


def test_a_rule_that_no_cavity_meets_does_not_apply():
    assert codes(cavities=(wall(),)) == [
        ("dust_and_respirator", None),
        ("timber_moisture", "W1"),
        ("cable_derating", None),
        ("tidy_up", None),
    ]


def test_an_attic_that_is_filled_dense_has_no_eaves_point():
    dense = attic(fill=Fill.DENSE, facing=Facing.BOARD)
    assert ("eaves_ventilation", "A1") not in codes(cavities=(dense,))
    assert ("timber_moisture", "A1") in codes(cavities=(dense,))


@pytest.mark.parametrize(
    ("built_year", "applies"), [(1959, True), (1960, False), (2026, False), (None, True)]
)
def test_an_old_or_unknown_house_has_the_wiring_point(built_year, applies):
    """NEC 394.12(5) (second-hand) bars fill round live knob-and-tube; an unknown year is no clearance."""
    found = codes(market=Market.US, built_year=built_year)
    assert (("knob_and_tube", None) in found) is applies


@pytest.mark.parametrize(("built_year", "applies"), [(1977, True), (1978, False)])
def test_lead_safe_practice_before_1978(built_year, applies):
    """NREL Standard Work Specifications (published): lead-safe practice in houses built before 1978."""
    assert (("lead_paint", None) in codes(built_year=built_year)) is applies


def test_markets_have_their_own_points():
    assert ("cable_derating", None) not in codes(market=Market.US)
    assert ("knob_and_tube", None) not in codes(market=Market.EU, built_year=None)


def test_a_point_carries_all_that_its_rule_says():
    (point,) = applying(rules=RULES[-1:])
    assert point == HoldPoint(
        code="tidy_up",
        stage=Stage.AFTER,
        text={"en": "What tidy_up asks for; the local code and licensed trades decide."},
        cavity=None,
        safety=False,
        single=False,
        crews=False,
        reading=None,
        source="source of tidy_up",
        standing=Standing.COMMON_PRACTICE,
    )


def test_a_point_with_a_reading_or_one_that_stands_alone_is_not_general():
    at_most = Reading(unit="%", most=20.0)
    points = applying(rules=(rule("wet", reading=at_most), rule("flue", single=True), rule("dust")))
    assert [(point.code, point.general, point.reading) for point in points] == [
        ("wet", False, at_most),
        ("flue", False, None),
        ("dust", True, None),
    ]


@pytest.mark.parametrize(
    ("reading", "limit", "allowed"),
    [
        (20.0, Reading(unit="%", most=20.0), True),
        (20.1, Reading(unit="%", most=20.0), False),
        (19.8, Reading(unit="kPa", least=19.9), False),
        (35.0, Reading(unit="kPa", least=19.9), True),
        (5.0, Reading(unit="V", least=1.0, most=4.0), False),
    ],
)
def test_a_reading_is_clear_within_its_limits(reading, limit, allowed):
    assert limit.allows(reading) is allowed
