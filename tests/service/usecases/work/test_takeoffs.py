"""A building is refused where it is more work than one request may ask for, however it is written."""

from datetime import date
from types import SimpleNamespace
from typing import Any

import pytest

from service.api.firm_files import read_firm
from service.errors import InvalidInput
from service.settings import Settings
from service.usecases.work.takeoffs import MOST_BAYS, MOST_OPENINGS, building_of, check_size, day_of, of_files
from tests.api import DEMO, NOW, small_building

SETTINGS = Settings(database_url="sqlite://", secret_key="x")
LAYER = {"depth_mm": 140, "framing": {"member_mm": 45, "spacing_mm": 600}}


def cavity(**changes: Any) -> dict[str, Any]:
    return {"label": "W", "width_m": 6.0, "span_m": 2.5, "layers": [LAYER], **changes}


def refused(*cavities: dict[str, Any]) -> list[str]:
    """The sentences that a building of these cavities is refused with."""
    try:
        check_size(SETTINGS, {"cavities": list(cavities)})  # type: ignore[typeddict-item]
    except InvalidInput as error:
        return [f"{fault.pointer} {fault.detail.code}" for fault in error.faults]  # type: ignore[union-attr]
    return []


def test_identical_cavities_count_one_by_one() -> None:
    most = SETTINGS.cavity_limit
    assert refused(cavity(count=most)) == []
    assert refused(cavity(count=most), cavity()) == ["/cavities quotes.too_many_cavities"]


@pytest.mark.parametrize(
    "framing",
    [
        {"member_mm": 0.1, "spacing_mm": 0.2},
        {"member_mm": 45, "members": MOST_BAYS},
        {"member_mm": 45, "members": 300, "blocking_rows": 350},
    ],
    ids=["spacing", "counted", "blocking"],
)
def test_bays_are_reckoned_however_they_are_given(framing: dict[str, Any]) -> None:
    """A slip of the unit makes thousands of a wall's ten."""
    wide = cavity(width_m=25.0, layers=[{"depth_mm": 140, "framing": framing}])
    assert refused(wide, wide) == ["/cavities quotes.too_many_bays"]
    assert refused(cavity(layers=[{"depth_mm": 140}], width_m=500.0)) == []


def test_openings_count_in_each_identical_cavity() -> None:
    windows = [{"width_m": 1, "height_m": 1}] * 50
    times = MOST_OPENINGS // 50
    assert refused(cavity(openings=windows, count=times)) == []
    assert refused(cavity(openings=windows, count=times + 1)) == ["/cavities quotes.too_many_openings"]


def test_prices_hold_of_the_day_that_was_sent_else_of_today() -> None:
    context: Any = SimpleNamespace(now=NOW)
    assert day_of(context, {"priced_on": date(2026, 1, 2)}) == date(2026, 1, 2)  # type: ignore[typeddict-item]
    assert day_of(context, {}) == NOW.date()  # type: ignore[typeddict-item]


@pytest.mark.parametrize(
    ("site", "year"), [({"site": {"built_year": 1950}}, 1950), ({"site": {}}, None), ({}, None)], ids=str
)
def test_an_unknown_age_of_the_house_stays_unknown(site: dict[str, Any], year: int | None) -> None:
    body = {name: value for name, value in small_building().items() if name != "site"}
    basis: Any = SimpleNamespace(build_ups=())
    assert building_of(basis, {**body, **site}).built_year == year  # type: ignore[typeddict-item]


def test_files_give_the_same_two_sizes_of_answer() -> None:
    firm, body = read_firm(DEMO), small_building()
    body = {**body, "priced_on": date(2026, 11, 25)}
    short, full = (
        of_files(SETTINGS, firm, body, NOW.date(), working=working)  # type: ignore[arg-type]
        for working in (False, True)
    )
    assert short["mass_kg"] == full["mass_kg"] > 0
    assert "geometry" in full["cavities"][0]
    assert "geometry" not in short["cavities"][0]
