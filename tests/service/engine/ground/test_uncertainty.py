from math import hypot, sqrt

import numpy
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from service.engine.ground.messages import message
from service.engine.ground.uncertainty import (
    Contribution,
    Measured,
    Scatter,
    Share,
    budget,
    mean_u,
    pooled,
    rectangular,
    student_t,
    total,
    type_a,
)

finite = st.floats(min_value=-50, max_value=50)


def measured(value: float, **us: float) -> Measured:
    return Measured(value=value, shares=tuple(Share(name=of, of=of, u=u) for of, u in us.items()))


@pytest.mark.parametrize(
    ("freedom", "t"), [(1, 12.706), (2, 4.303), (3, 3.182), (4, 2.776), (9, 2.262), (19, 2.093), (30, 2.042)]
)
def test_student_t_is_that_of_the_printed_tables(freedom: int, t: float) -> None:
    """Table of t for a two-sided 95 %, in any handbook of statistics (figures from memory)."""
    assert student_t(coverage=0.95, freedom=freedom) == pytest.approx(t, abs=5e-4)


@pytest.mark.parametrize(
    ("freedom", "t"), [(1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (9, 2.32), (20, 2.13)]
)
def test_student_t_for_two_standard_deviations_is_that_of_the_gum(freedom: int, t: float) -> None:
    """JCGM 100 table G.2, column 95.45 % (from memory)."""
    coverage = stats.norm.cdf(2) - stats.norm.cdf(-2)
    assert student_t(coverage=float(coverage), freedom=freedom) == pytest.approx(t, abs=5e-3)


@pytest.mark.parametrize("coverage", [0.5, 0.9, 0.95, 0.9545, 0.99, 0.999])
@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 5, 10, 31, 100, 999])
def test_student_t_agrees_with_scipy(coverage: float, freedom: int) -> None:
    expected = float(stats.t.ppf((1 + coverage) / 2, freedom))
    assert student_t(coverage=coverage, freedom=freedom) == pytest.approx(expected, rel=1e-10)


def test_type_a_of_many_readings_is_the_standard_error() -> None:
    readings = tuple(float(place % 7) for place in range(700))
    standard_error = float(numpy.std(readings, ddof=1)) / sqrt(700)
    assert type_a(readings=readings) == pytest.approx(standard_error, rel=3e-3)


def test_type_a_of_two_readings_covers_as_often_as_k_2_should() -> None:
    """JCGM 100, 4.2.3 and annex G: 2 u of so few readings has to hold the mean 95.45 times in 100."""
    for count in (2, 3, 5):
        draws = numpy.random.default_rng(1).normal(12.5, 0.2, size=(20_000, count))
        means, s = draws.mean(axis=1), draws.std(axis=1, ddof=1)
        factor = type_a(readings=tuple(draws[0])) / (s[0] / sqrt(count))
        held = float(numpy.mean(abs(means - 12.5) <= 2 * factor * s / sqrt(count)))
        assert held == pytest.approx(0.9545, abs=0.006)


def test_half_a_width_is_divided_by_the_root_of_three() -> None:
    """JCGM 100, 4.3.7; the half-widths of the worked example, 3 mm and 0.1 kg."""
    assert rectangular(half=0.003) == pytest.approx(0.001732050808)
    assert rectangular(half=0.1) == pytest.approx(0.0577350269)


def test_what_two_masses_share_adds_up_before_it_is_squared() -> None:
    one, other = measured(10, scale=0.3, count=0.4), measured(20, scale=0.3)
    together = total((one, other))
    assert together.value == 30
    assert together.u == pytest.approx(hypot(0.6, 0.4))
    assert together.expanded_u == pytest.approx(2 * hypot(0.6, 0.4))


def test_what_two_masses_share_cancels_in_their_difference() -> None:
    one, other = measured(10, scale=0.3, count=0.4), measured(10, scale=0.3)
    assert total((one, other.scaled(-1))).u == pytest.approx(0.4)


def test_an_empty_total_is_nothing() -> None:
    assert total(()) == Measured(value=0.0)


@given(a=finite, b=finite, ua=st.floats(0.01, 2), ub=st.floats(0.01, 2), shared=st.floats(0.01, 2))
def test_sums_and_quotients_agree_with_the_uncertainties_library(
    a: float, b: float, ua: float, ub: float, shared: float
) -> None:
    """Linear propagation by the package `uncertainties`, with one input in common."""
    divisor = 100 + b
    common = uncertainties.ufloat(0, shared)
    x, y = uncertainties.ufloat(a, ua) + common, uncertainties.ufloat(divisor, ub) + 2 * common
    ours_x, ours_y = measured(a, a=ua, common=shared), measured(divisor, b=ub, common=2 * shared)
    for expected, ours in ((x + y, total((ours_x, ours_y))), (x / y, ours_x.over(ours_y))):
        assert ours.value == pytest.approx(expected.nominal_value, rel=1e-9, abs=1e-12)
        assert ours.u == pytest.approx(expected.std_dev, rel=1e-9, abs=1e-12)


def test_a_budget_puts_inputs_of_one_name_together_and_the_largest_first() -> None:
    density = Measured(
        value=55,
        shares=(
            Share(name="mass", of="mass", u=0.1),
            Share(name="depth", of="depth 0", u=0.3),
            Share(name="depth", of="depth 1", u=-0.4),
            Share(name="bulge", of="bulge", u=0.0),
        ),
    )
    assert budget(density=density) == (
        Contribution(name=message("budget.depth"), u_kg_m3=0.5),
        Contribution(name=message("budget.mass"), u_kg_m3=0.1),
    )


def test_scatter_is_pooled_by_degrees_of_freedom() -> None:
    """By hand: (54, 58) and (50, 53, 56): variances 8 and 9, freedom 1 and 2: sqrt((8 + 18)/3)."""
    found = pooled(groups=((54.0, 58.0), (60.0,), (50.0, 53.0, 56.0)), declared=9.0)
    assert (found.s, found.freedom) == (pytest.approx(sqrt(26 / 3)), 3)


def test_fewer_than_three_degrees_of_freedom_leave_it_to_what_was_declared() -> None:
    """Two bays, or three, may be alike by chance."""
    for groups in ((), ((55.0,),), ((55.0, 55.1),), ((55.0, 55.1, 55.0),), ((55.0, 55.1), (60.0, 60.2))):
        assert pooled(groups=groups, declared=3.0) == Scatter(s=3.0)


def test_the_mean_of_all_things_has_no_scatter_left() -> None:
    assert Scatter(s=3.0, freedom=4).of_mean(taken=5, of=5) == 0


@pytest.mark.parametrize(("taken", "of"), [(2, 5), (4, 16), (3, 4)])
def test_the_mean_of_some_of_all_covers_as_it_should(taken: int, of: int) -> None:
    """Finite population by drawing: so many of so many, s pooled over eight like groups."""
    rng = numpy.random.default_rng(7)
    bays = rng.normal(0, 3, size=(4000, of))
    groups = rng.normal(0, 3, size=(4000, 8, taken))
    s = groups.std(axis=2, ddof=1)
    pooled_s = numpy.sqrt((s**2).mean(axis=1))
    factor = Scatter(s=1.0, freedom=8 * (taken - 1)).of_mean(taken=taken, of=of)
    off = abs(bays[:, :taken].mean(axis=1) - bays.mean(axis=1))
    assert float(numpy.mean(off <= 2 * factor * pooled_s)) == pytest.approx(0.9545, abs=0.012)


def test_two_readings_are_never_worth_less_than_one() -> None:
    """However far apart: with so few the declared scatter stands in the place of the one that is seen."""
    one = mean_u(readings=(12.0,), declared=0.3)
    assert mean_u(readings=(12.0, 14.0), declared=0.3) < one
    assert mean_u(readings=(12.0, 14.0, 10.0), declared=0.3) < one
    assert mean_u(readings=(12.0, 12.2, 11.8, 12.0), declared=9.0) == type_a(
        readings=(12.0, 12.2, 11.8, 12.0)
    )
