"""Bounds that follow from a cavity's depth."""

import pytest

from service.engine.ground.vocabulary import Standing
from service.engine.plan.bounds import NON_SETTLING, highest_loading, non_settling_kg_m3
from service.engine.survey.practice import Loading
from service.errors import InvalidInput
from tests.builders import material


@pytest.mark.parametrize(
    ("depth_m", "expected", "extrapolated"),
    [
        # SBi/DBRI, Settling of loose-fill insulation materials in walls, summary: the two published points.
        (0.1, 48.0, False),
        (0.3, 53.0, False),
        # Arithmetic: 48 + 5 ln 2/ln 3; 48 + 5 ln 3.6/ln 3; 48 - 5 ln 2/ln 3.
        (0.2, 51.15465, False),
        (0.36, 53.82978, True),
        (0.05, 44.84535, True),
    ],
)
def test_non_settling_density(depth_m, expected, extrapolated):
    bound = non_settling_kg_m3(depth_m=depth_m)
    assert bound.value == pytest.approx(expected, abs=1e-5)
    assert (bound.extrapolated, bound.binds) == (extrapolated, False)
    assert bound.provenance == NON_SETTLING.provenance


def test_it_is_the_firms_own_where_the_firm_works_by_it():
    advice, own = (non_settling_kg_m3(depth_m=0.2, binds=binds) for binds in (False, True))
    assert (advice.binds, own.binds) == (False, True)
    assert own.provenance.standing is Standing.DECLARED
    assert own.value == advice.value


def test_the_highest_loading_is_the_makers_row_that_is_deep_enough():
    rows = (Loading(depth_mm=200, density_kg_m3=63), Loading(depth_mm=300, density_kg_m3=58))
    sheet = material(loadings=rows)
    for depth_mm, density in ((150, 63), (200, 63), (200.5, 58)):
        found = highest_loading(depth_mm=depth_mm, material=sheet)
        assert found
        assert found.value == density
    assert highest_loading(depth_mm=200, material=material(loadings=())) is None
    with pytest.raises(InvalidInput):
        highest_loading(depth_mm=301, material=sheet)
