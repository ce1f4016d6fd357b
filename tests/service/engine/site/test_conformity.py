from dataclasses import replace
from statistics import NormalDist

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.ground.uncertainty import Measured, Share
from service.engine.ground.vocabulary import FoundBy, Verdict
from service.engine.site.conformity import (
    COMBINATION,
    achieved,
    combined,
    guarded,
    highest_probability,
    normalised_error,
    probability,
    verdict,
    worst,
)
from tests import builders, site

DECISION = builders.practice().decision
WORKED, WORKED_U = 55.80357142857143, 0.3730510674935726


def result(value: float, u: float, of: str) -> Measured:
    return Measured(value=value, shares=(Share(name=of, of=of, u=u),))


@pytest.mark.parametrize(
    ("z", "phi"), [(0, 0.5), (1.2816, 0.9), (1.6449, 0.95), (1.96, 0.975), (2, 0.97725), (3.0902, 0.999)]
)
def test_a_lower_limit_gives_the_printed_normal_distribution(z: float, phi: float) -> None:
    """Table of the normal distribution, in any handbook of statistics."""
    assert probability(value=z, u=1, lowest=0) == pytest.approx(phi, abs=1e-5)
    assert probability(value=-z, u=1, highest=0) == pytest.approx(phi, abs=1e-5)


@pytest.mark.parametrize(("lowest", "p"), [(55, 0.98438), (55.5, 0.79211), (56, 0.29925)])
def test_worked_example_above_a_lower_limit(lowest: float, p: float) -> None:
    """22.5 kg in 2.400 x 0.560 x 0.300 m: derived by arithmetic, with two packages besides."""
    assert probability(value=WORKED, u=WORKED_U, lowest=lowest) == pytest.approx(p, abs=5e-6)


def test_speed_limit_of_jcgm_106() -> None:
    """JCGM 106 example (from memory): 2 % of the reading, 100 km/h, 99.9 %: from about 107 km/h on."""
    just = 100 / (1 - 3.0902 * 0.02)
    assert just == pytest.approx(106.588, abs=5e-4)
    assert probability(value=just, u=0.02 * just, lowest=100) == pytest.approx(0.999, abs=1e-6)
    assert probability(value=107, u=2.14, lowest=100) > 0.999 > probability(value=106, u=2.12, lowest=100)


@given(value=st.floats(30, 80), u=st.floats(0.01, 20), lowest=st.floats(40, 55), width=st.floats(0.1, 25))
def test_a_window_agrees_with_the_standard_librarys_normal_distribution(
    value: float, u: float, lowest: float, width: float
) -> None:
    normal = NormalDist(value, u)
    expected = normal.cdf(lowest + width) - normal.cdf(lowest)
    found = probability(value=value, u=u, lowest=lowest, highest=lowest + width)
    assert found == pytest.approx(expected, abs=1e-12)
    assert 0 <= found <= highest_probability(u=u, lowest=lowest, highest=lowest + width) + 1e-12


@given(u=st.floats(0.01, 20), lowest=st.floats(40, 55), width=st.floats(0.1, 25), data=st.data())
def test_the_probability_falls_as_the_density_leaves_the_window(u, lowest, width, data) -> None:
    """It is highest in the middle, and the same as far below it as above."""
    middle, highest = lowest + width / 2, lowest + width
    near, far = sorted(data.draw(st.lists(st.floats(0, width + 5 * u), min_size=2, max_size=2)))
    chances = [
        [probability(value=middle + side * away, u=u, lowest=lowest, highest=highest) for away in (near, far)]
        for side in (-1, 1)
    ]
    for closer, further in chances:
        assert further <= closer + 1e-12
        if far - near > u / 10 and closer > 1e-9 and closer < 1 - 1e-9:
            assert further < closer
    assert chances[0] == pytest.approx(chances[1], abs=1e-9)


@pytest.mark.parametrize("value", [49.0, 50.0, 52.5, 55.0, 60.0, 61.0])
@pytest.mark.parametrize("u", [0.2, 1.5, 5.0, 20.0])
@pytest.mark.parametrize("highest", [51.0, 60.0])
def test_probabilities_agree_with_drawn_values(value: float, u: float, highest: float) -> None:
    """JCGM 101 by drawing, windows narrower than the uncertainty included; 4 standard errors of 200 000."""
    draws = numpy.random.default_rng(106).normal(value, u, 200_000)
    drawn = float(numpy.mean((draws >= 50) & (draws <= highest)))
    assert probability(value=value, u=u, lowest=50, highest=highest) == pytest.approx(drawn, abs=4.5e-3)


@pytest.mark.parametrize(("value", "p"), [(49.9, 0.0), (50, 1.0), (55, 1.0), (60, 1.0), (60.1, 0.0)])
def test_without_uncertainty_a_value_is_in_the_window_or_not(value: float, p: float) -> None:
    assert probability(value=value, u=0.0, lowest=50, highest=60) == p


@pytest.mark.parametrize(
    ("z", "expected"),
    [
        (1.6449, Verdict.CONFORMING),
        (1.6448, Verdict.INCONCLUSIVE),
        (-1.6448, Verdict.INCONCLUSIVE),
        (-1.6449, Verdict.NON_CONFORMING),
    ],
)
def test_a_verdict_turns_at_the_thresholds_of_the_decision_rule(z: float, expected: Verdict) -> None:
    """95 % and 5 % of the normal distribution lie at +-1.64485."""
    assert verdict(value=50 + z, u=1, decision=DECISION, lowest=50, highest=70) is expected
    assert verdict(value=70 - z, u=1, decision=DECISION, lowest=50, highest=70) is expected
    assert verdict(value=50 + z, u=1, decision=DECISION, lowest=50) is expected


def test_a_threshold_itself_decides() -> None:
    """Just at a limit the probability is one half."""
    half = replace(DECISION, conforming_from=0.5)
    assert verdict(value=50, u=1, decision=half, lowest=50) is Verdict.CONFORMING
    half = replace(DECISION, conforming_from=0.95, non_conforming_to=0.5)
    assert verdict(value=50, u=1, decision=half, lowest=50) is Verdict.NON_CONFORMING


def test_to_know_little_is_no_reason_to_refuse() -> None:
    """55 +- 111 kg/m3 lies between 50 and 60 with 0.036, for want of knowledge and not for being wrong."""
    assert probability(value=55, u=111, lowest=50, highest=60) < 0.05
    assert verdict(value=55, u=111, decision=DECISION, lowest=50, highest=60) is Verdict.INCONCLUSIVE
    assert verdict(value=255, u=111, decision=DECISION, lowest=50, highest=60) is Verdict.NON_CONFORMING


def test_too_dense_is_as_wrong_as_too_loose() -> None:
    window = site.limits(50, 60)
    for value in (45, 65):
        density = result(value, 1.0, "mass")
        found = achieved(
            density=density, how=FoundBy.SAMPLE, formula=COMBINATION, window=window, decision=DECISION
        )
        assert found.verdict is Verdict.NON_CONFORMING
        assert found.probability == pytest.approx(2.8665e-7, rel=1e-4)


def test_a_guard_band_of_1_645_u_conforms_just() -> None:
    """JCGM 106 clause 8 (from memory): 1.645 u above a limit is 95 %."""
    least = guarded(required=10, u=0.2, decision=DECISION)
    assert least == pytest.approx(10 + 1.645 * 0.2)
    assert probability(value=least, u=0.2, lowest=10) == pytest.approx(0.95, abs=1e-4)


def test_what_is_aimed_at_is_the_firms_guard_band_and_never_less_than_conforms() -> None:
    """Phi(2.3263) = 0.99."""
    wider = replace(DECISION, guard_factor=3.3)
    assert guarded(required=10, u=0.2, decision=wider) == pytest.approx(10 + 3.3 * 0.2)
    stricter = replace(DECISION, conforming_from=0.99)
    assert guarded(required=10, u=0.2, decision=stricter) == pytest.approx(10 + 2.3263 * 0.2, abs=1e-5)


def test_no_density_conforms_to_a_window_narrower_than_its_uncertainty() -> None:
    best = highest_probability(u=2.0, lowest=54, highest=57)
    assert best == pytest.approx(0.546745, abs=1e-6)
    assert verdict(value=55.5, u=2.0, decision=DECISION, lowest=54, highest=57) is Verdict.INCONCLUSIVE


def test_normalised_error_by_hand() -> None:
    one, other = result(55, 0.5, "mass"), result(58, 1.2, "core")
    assert normalised_error(one=one, other=other) == pytest.approx(3 / 2.6)


def test_combination_by_hand() -> None:
    """Weights 1/0.25 and 1/1: (4 x 55 + 58)/5 = 55.6, u = 1/sqrt(5)."""
    found = combined(results=(result(55, 0.5, "mass"), result(58, 1.0, "core")))
    assert found.value == pytest.approx(55.6)
    assert found.u == pytest.approx(5**-0.5)


@given(
    st.lists(st.tuples(st.floats(40, 70), st.floats(0.2, 5)), min_size=2, max_size=4),
)
def test_combination_agrees_with_weighted_least_squares(results) -> None:
    """numpy.polyfit of a constant, weights 1/u, its covariance unscaled."""
    values, us = (numpy.array(each) for each in zip(*results, strict=True))
    (constant,), ((variance,),) = numpy.polyfit(
        numpy.arange(len(values)), values, 0, w=1 / us, cov="unscaled"
    )
    found = combined(results=tuple(result(value, u, f"tool {n}") for n, (value, u) in enumerate(results)))
    assert found.value == pytest.approx(float(constant))
    assert found.u == pytest.approx(float(variance) ** 0.5)


def test_a_second_result_by_the_same_tool_does_not_make_the_first_more_certain() -> None:
    found = combined(results=(result(55, 1.0, "core"), result(57, 1.0, "core")))
    assert (found.value, found.u) == pytest.approx((56, 1.0))


def test_the_worst_verdict_decides() -> None:
    assert worst((Verdict.CONFORMING, Verdict.NON_CONFORMING, Verdict.INCONCLUSIVE)) is Verdict.NON_CONFORMING
    assert worst((Verdict.CONFORMING, Verdict.INCONCLUSIVE)) is Verdict.INCONCLUSIVE
    assert worst((Verdict.CONFORMING,)) is Verdict.CONFORMING
