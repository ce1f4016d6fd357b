"""Heat paths: areas, limits and their order."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.ground.vocabulary import Runs
from service.engine.heat.paths import Leaf, Path, lower_limit, upper_limit, whole_paths


def leaf(fraction, fill=3.0, timber=1.0, runs=Runs.ALONG):
    return Leaf(fill=fill, timber=timber, timber_fraction=fraction, runs=runs)


LEAVES = st.builds(
    leaf,
    st.floats(0, 1),
    fill=st.floats(0.5, 8),
    timber=st.floats(0.05, 0.5),
    runs=st.sampled_from(Runs),
)
STACKS = st.lists(LEAVES, min_size=1, max_size=4).map(tuple)


def areas(leaves, aligned):
    return {round(path.resistance, 9): path.area for path in whole_paths(leaves=leaves, aligned=aligned)}


def test_independent_leaves_multiply_their_areas():
    stack = (leaf(0.1, fill=3, timber=1), leaf(0.2, fill=5, timber=2))

    assert areas(stack, aligned=False) == pytest.approx({8: 0.72, 6: 0.08, 5: 0.18, 3: 0.02})


def test_aligned_leaves_coincide_as_far_as_the_narrower_reaches():
    stack = (leaf(0.1, fill=3, timber=1), leaf(0.2, fill=5, timber=2))

    assert areas(stack, aligned=True) == pytest.approx({8: 0.8, 5: 0.1, 3: 0.1})


def test_crossing_members_are_independent_even_of_aligned_leaves():
    crossing = leaf(0.5, fill=1.0, timber=0.5, runs=Runs.ACROSS)
    stack = (leaf(0.1, fill=3, timber=1), crossing, leaf(0.1, fill=5, timber=2))

    assert areas(stack, aligned=True) == pytest.approx({9: 0.45, 8.5: 0.45, 4: 0.05, 3.5: 0.05})


def test_upper_limit_of_us_parallel_paths():
    # Washington's energy code (WAC 51-11-1005.2) for the areas, resistances of handbooks (from memory), in
    # ft2 h F/Btu: cavity 21.98, stud 9.605, header 7.48 with air films; U 0.060161 worked out independently.
    shared = 0.68 + 0.17 + 0.45 + 0.62 + 0.81
    paths = (
        Path(area=0.77, resistance=5.5 * 3.5),
        Path(area=0.19, resistance=5.5 * 1.25),
        Path(area=0.04, resistance=3.0 * 1.25 + 1.0),
    )

    assert 1 / upper_limit(paths=paths, others=shared) == pytest.approx(0.060161, abs=5e-7)


@given(STACKS, st.booleans(), st.floats(0.05, 5))
def test_the_lower_limit_is_never_above_the_upper(stack, aligned, others):
    paths = whole_paths(leaves=stack, aligned=aligned)
    lower = lower_limit(leaves=stack, others=others)

    assert sum(path.area for path in paths) == pytest.approx(1)
    assert lower <= upper_limit(paths=paths, others=others) * (1 + 1e-12)


@given(STACKS, st.floats(0.05, 5))
def test_aligned_timber_never_resists_more_than_independent_timber(stack, others):
    # 1/(c + x) is convex in x: of all ways to pair the members, the aligned one passes most heat.
    aligned = upper_limit(paths=whole_paths(leaves=stack, aligned=True), others=others)
    independent = upper_limit(paths=whole_paths(leaves=stack, aligned=False), others=others)

    assert aligned <= independent * (1 + 1e-12)
