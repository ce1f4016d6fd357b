"""Vapour flow: the taut string against brute force and hand calculation, and the year's balance."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.moisture.diffusion import gains_kg_m2_s, pressures_pa, touched, year

STEPS = st.lists(st.tuples(st.floats(0.01, 5), st.floats(100, 4000)), min_size=2, max_size=12)


def line(steps, first=800.0):
    """Places and ceilings of nodes that follow a first one."""
    places = [0.0]
    for step, _ in steps:
        places.append(places[-1] + step)
    return places, [first, *(ceiling for _, ceiling in steps)]


def lowest_chord(sd_m, ceiling_pa, node):
    """The greatest convex line under the ceilings, by brute force over all chords that span the node."""
    chords = (
        ceiling_pa[i] + (ceiling_pa[j] - ceiling_pa[i]) * (sd_m[node] - sd_m[i]) / (sd_m[j] - sd_m[i])
        for i in range(node + 1)
        for j in range(node, len(sd_m))
        if i != j
    )
    return min(chords)


def relaxed(sd_m, ceiling_pa, sweeps=4000):
    """Steady diffusion under ceilings by projected relaxation, node by node: no geometry at all."""
    pressures = [*ceiling_pa]
    for _ in range(sweeps):
        for node in range(1, len(sd_m) - 1):
            left, right = sd_m[node] - sd_m[node - 1], sd_m[node + 1] - sd_m[node]
            free = (pressures[node - 1] / left + pressures[node + 1] / right) / (1 / left + 1 / right)
            pressures[node] = min(ceiling_pa[node], free)
    return pressures


@given(STEPS)
def test_the_string_is_the_lowest_of_all_chords(steps):
    sd_m, ceiling_pa = line(steps)

    found = pressures_pa(sd_m=sd_m, ceiling_pa=ceiling_pa)

    expected = [lowest_chord(sd_m, ceiling_pa, node) for node in range(len(sd_m))]
    assert found == pytest.approx(expected, rel=1e-9)


def test_the_string_is_what_relaxation_converges_to():
    sd_m = [0.0, 0.2, 0.25, 0.4, 0.6, 0.8, 1.3, 1.4, 2.0]
    ceiling_pa = [320.0, 340.0, 352.0, 380.0, 460.0, 600.0, 800.0, 1300.0, 1168.0]

    found = pressures_pa(sd_m=sd_m, ceiling_pa=ceiling_pa)

    assert found == pytest.approx(relaxed(sd_m, ceiling_pa), rel=1e-9)
    assert touched(sd_m=sd_m, ceiling_pa=ceiling_pa) == (0, 1, 3, 4, 6, 8)


@given(STEPS)
def test_what_flows_in_and_not_out_is_what_condenses(steps):
    sd_m, ceiling_pa = line(steps)

    pressures = pressures_pa(sd_m=sd_m, ceiling_pa=ceiling_pa)
    gains = gains_kg_m2_s(sd_m=sd_m, ceiling_pa=ceiling_pa)

    out = 2e-10 * (pressures[1] - pressures[0]) / (sd_m[1] - sd_m[0])
    into = 2e-10 * (pressures[-1] - pressures[-2]) / (sd_m[-1] - sd_m[-2])
    assert sum(gains) == pytest.approx(into - out, abs=1e-9 * (abs(into) + abs(out)) + 1e-20)
    assert min(gains) >= 0


@given(STEPS, st.data())
def test_held_nodes_keep_their_saturation_pressure(steps, data):
    sd_m, ceiling_pa = line(steps)
    held = data.draw(st.sets(st.integers(1, len(sd_m) - 2)))

    found = pressures_pa(sd_m=sd_m, ceiling_pa=ceiling_pa, held=held)

    assert [found[node] for node in held] == pytest.approx([ceiling_pa[node] for node in held])
    assert all(p <= top * (1 + 1e-9) for p, top in zip(found, ceiling_pa, strict=True))


def test_one_boundary_by_hand():
    # g = 2e-10 ((1200 - 420)/0.8 - (420 - 320)/0.2) = 2e-10 (975 - 500) = 9.5e-8 kg/(m2 s)
    gains = gains_kg_m2_s(sd_m=(0, 0.2, 1.0), ceiling_pa=(320, 420, 1200))

    assert gains == pytest.approx((0, 9.5e-8, 0))


def test_two_boundaries_by_hand():
    # Slopes 500, 300/0.5 = 600 and 480/0.3 = 1600 Pa/m: bends of 100 and 1000.
    gains = gains_kg_m2_s(sd_m=(0, 0.2, 0.7, 1.0), ceiling_pa=(320, 420, 720, 1200))

    assert gains == pytest.approx((0, 2e-8, 2e-7, 0))


def test_a_wet_boundary_dries_to_both_sides_by_hand():
    # 2e-10 ((1200 - 2000)/0.8 - (2000 - 1400)/0.2) = 2e-10 (-1000 - 3000) = -8e-7 kg/(m2 s)
    gains = gains_kg_m2_s(sd_m=(0, 0.2, 1.0), ceiling_pa=(1400, 2000, 1200), held=(1,))

    assert gains == pytest.approx((0, -8e-7, 0))


COLD, DRY, WARM = (320, 420, 1200), (600, 1000, 1200), (1400, 2000, 1200)
SD = (0, 0.2, 1.0)


def test_a_year_begins_with_the_first_wet_month_and_dries():
    months = (COLD, COLD, WARM, *(DRY,) * 8, COLD)

    ends = year(sd_m=SD, ceilings_pa=months)

    # 9.5e-8 kg/(m2 s) over 31, 31 and 28 days: 0.25445, 0.50890 and 0.73872 kg/m2; then all of it dries.
    assert [end.month for end in ends] == [12, *range(1, 12)]
    assert [end.water_kg_m2[1] for end in ends[:5]] == pytest.approx([0.254448, 0.508896, 0.73872, 0, 0])
    assert ends[3].change_kg_m2[1] == pytest.approx(-0.73872)


def test_a_boundary_that_has_dried_no_longer_feeds_another():
    # January wets 0.2 m with 2e-8 and 0.6 m with 1e-7 kg/(m2 s): 0.053568 and 0.26784 kg/m2. In February the
    # first gives off 2e-10 (2900 + 1200) = 8.2e-7 and is dry after 65 326.8 s; until then the second gains
    # 2e-10 (700 + 1200) = 3.8e-7, from then on 2e-10 (700 - 166.667) = 1.066667e-7: 0.543744 kg/m2.
    january, february, dry = (320, 340, 420, 700), (320, 900, 420, 700), (320, 900, 1200, 700)

    ends = year(sd_m=(0, 0.2, 0.6, 1.0), ceilings_pa=(january, february, *(dry,) * 10))

    assert ends[0].water_kg_m2 == pytest.approx((0, 0.053568, 0.26784, 0))
    assert ends[1].water_kg_m2 == pytest.approx((0, 0, 0.543744, 0))


def test_water_that_no_month_takes_away_remains():
    # Held at 420 Pa between 410 and 430 Pa on a straight line: neither wetter nor drier.
    still = (410, 420, 460)

    ends = year(sd_m=SD, ceilings_pa=(COLD, *(still,) * 11))

    assert ends[-1].water_kg_m2[1] == pytest.approx(9.5e-8 * 31 * 86_400)


def test_an_element_that_is_always_wet_gains_all_year():
    ends = year(sd_m=SD, ceilings_pa=(COLD,) * 12)

    assert ends[-1].water_kg_m2[1] == pytest.approx(9.5e-8 * 365 * 86_400)
    assert all(a.water_kg_m2[1] < b.water_kg_m2[1] for a, b in pairwise(ends))


def test_a_year_that_never_condenses_is_empty():
    assert year(sd_m=SD, ceilings_pa=(DRY,) * 12) == ()


def test_the_year_is_begun_where_it_closes():
    # Two wet seasons; water of the second (October on) dries only after the first (February) has begun.
    mild = (380, 420, 600)  # slopes 200 and 225 Pa/m: a small gain
    slow = (400, 420, 480)  # slopes 100 and 75 Pa/m: a small loss
    months = (slow, mild, *(WARM,) * 2, *(DRY,) * 5, COLD, slow, slow)

    ends = year(sd_m=SD, ceilings_pa=months)

    assert ends[0].month == 10
    assert ends[-1].water_kg_m2[1] == 0
