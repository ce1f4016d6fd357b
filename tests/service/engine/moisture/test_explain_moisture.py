"""The moisture indicator's working, read as text, gives its figures."""

import pytest

from service.engine.ground.explanation import Explanation
from service.engine.moisture.explain_moisture import explain_moisture
from service.engine.moisture.moisture import Moisture, moisture
from tests.arithmetic import at, evaluated
from tests.builders import board, climate, layer, month, stud_wall, worked

CAVITIES = (
    stud_wall(layers=(layer(300),), inside=(board(mu=10),), outside=(board(mu=12),)),
    stud_wall(label="W3", inside=(board(),), outside=(board(mu=200),)),
)


def explained(year=None) -> tuple[tuple[Moisture, ...], tuple[Explanation, ...]]:
    job, year = worked(*CAVITIES), year or climate()
    found = tuple(
        moisture(cavity=each, material=job.material, climate=year, working=working)
        for each, working in zip(CAVITIES, job.workings, strict=True)
    )
    return found, explain_moisture(worked=job, found=found)


def test_every_figure_explained_once_is_that_of_the_indicator() -> None:
    found, explanations = explained()
    assert len({each.pointer for each in explanations}) == len(explanations)
    assert {each.pointer.split("/")[2] for each in explanations} == {"0", "1"}
    for each in explanations:
        assert each.pointer.startswith("/moisture/")
        assert each.value == at(found, each.pointer.removeprefix("/moisture")), each.pointer


def test_the_arithmetic_gives_the_figures() -> None:
    found, explanations = explained()
    assert any(each.months for each in found)
    assert {each.formula for each in explanations} == {
        "dew_point",
        "interstitial_condensation",
        "saturation_pressure",
        "temperature_factor",
        "vapour_flow",
    }
    for each in explanations:
        assert float(evaluated(each)) == pytest.approx(each.value, rel=1e-9, abs=1e-9), each


def test_what_flows_in_and_not_out_is_what_a_month_condenses() -> None:
    """By hand: 31 days of the coldest month, which is the first and begins dry."""
    mild = month(outside_c=15, outside_rh_percent=60)
    found, _ = explained(climate(months=(month(), *(mild,) * 11)))
    wet = found[0]
    assert wet.profile_month == wet.months[0].month == 1
    assert wet.months[0].condensed_kg_m2 > 0.1
    kept = (wet.inflow_kg_m2_s - wet.outflow_kg_m2_s) * 31 * 86400
    assert kept == pytest.approx(wet.months[0].condensed_kg_m2)


def test_a_year_that_is_never_warmer_inside_needs_no_dew_point() -> None:
    _, explanations = explained(climate(months=(month(inside_c=22, outside_c=22),) * 12))
    assert "dew_point" not in {each.formula for each in explanations}
