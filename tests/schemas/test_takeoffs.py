"""A takeoff is asked for with a building; a climate is a whole year."""

from typing import Any

import pytest

from schemas.takeoffs import TakeoffBody
from service.engine.survey.climate import COLDEST_C, WARMEST_C
from tests.api import building
from tests.pointers import GONE, changed, refused, refused_without

MONTH = {"inside_c": 20, "inside_rh_percent": 50, "outside_c": -5, "outside_rh_percent": 80}
CLIMATE = {
    "months": [dict(MONTH) for _ in range(12)],
    "source": "measured by the firm",
    "standing": "declared",
}
BODY: dict[str, Any] = {
    **{name: value for name, value in building().items() if name in TakeoffBody().fields},
    "explain": True,
    "what_if": False,
    "climate": CLIMATE,
}


def test_the_demo_building_is_taken_with_a_climate() -> None:
    assert refused(TakeoffBody(), BODY) == set()
    assert refused(TakeoffBody(), changed(BODY, "/climate", GONE)) == set()


def test_each_member_that_is_needed_is_missed_by_its_name() -> None:
    needed = {"practice", "material", "currency", "cavities"}
    assert refused_without(TakeoffBody(), BODY) == {name: {f"/{name}"} for name in needed}


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/explain", "yes"),
        ("/what_if", 1),
        ("/climate", None),
        ("/climate/months", [MONTH] * 11),
        ("/climate/months", [MONTH] * 13),
        ("/climate/months/3/inside_rh_percent", 0),
        ("/climate/months/3/outside_rh_percent", 100.1),
        ("/climate/months/11/outside_c", COLDEST_C - 0.1),
        ("/climate/months/0/inside_c", WARMEST_C + 0.1),
        ("/climate/source", GONE),
        ("/climate/standing", "heard"),
        ("/cavities", []),
        ("/currency", "Euro"),
        ("/travel_km", -1),
        ("/priced_on", "today"),
        ("/extras", [{"code": "S"}]),
        ("/site/built_year", 99),
        ("/reference", "x" * 81),
        ("/colour", "grey"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(pointer: str, value: Any) -> None:
    wrong = "/extras/0/quantity" if pointer == "/extras" else pointer
    assert refused(TakeoffBody(), changed(BODY, pointer, value)) == {wrong}
