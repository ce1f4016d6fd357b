from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from service.engine.geometry.compartments import Compartment
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Method
from service.engine.plan.sequence import BY_HAND, LAST, SPILL, sequence
from tests.builders import practice

SAMPLING = practice().sampling


def compartment(*bays, spills=None):
    """One in which fill moves between all bays, or between those of each group alone."""
    several = len(bays) > 1
    groups = ((bays,) if several else ()) if spills is None else spills
    return Compartment(label="W1", bays=bays, net_volume_m3=1.0, shared=several, spills=groups)


def steps(*compartments, method=Method.LANCE, sampling=SAMPLING):
    return sequence(compartments=compartments, method=method, sampling=sampling)


def test_in_a_shared_compartment_each_bay_but_the_first_is_compressed_again():
    """Common practice: the next bay is filled through the spill of the one before."""
    found = steps(compartment(1, 2, 3, 4))
    assert [(step.bay, step.recompress) for step in found] == [(1, False), (2, True), (3, True), (4, True)]
    assert [SPILL in step.notes for step in found] == [False, True, True, True]
    assert [LAST in step.notes for step in found] == [False, False, False, True]


def test_no_sample_of_the_last_bay_where_the_profile_asks_for_none():
    found = steps(compartment(1, 2), sampling=replace(SAMPLING, last_bay=False))
    assert not any(LAST in step.notes for step in found)


def test_closed_bays_take_no_spill():
    found = steps(compartment(1), compartment(2), compartment(3), method=Method.HOSE)
    assert [(step.bay, step.recompress) for step in found] == [(1, False), (2, False), (3, False)]
    assert {step.notes for step in found} == {(message("plan.fill_by_hose"),)}


def test_strips_keep_the_spill_out_and_hoses_laid_beforehand_do_not():
    divided = steps(compartment(1, 2, 3), method=Method.DIVIDED_BAYS)
    hoses = steps(compartment(1, 2, 3), method=Method.SEVERAL_HOSES)
    assert [step.recompress for step in divided] == [False, False, False]
    assert not any(LAST in step.notes for step in divided)
    assert [step.recompress for step in hoses] == [False, True, True]


def test_a_door_between_two_compartments_starts_the_sequence_anew():
    found = steps(compartment(1, 2), compartment(4, 5, 6), compartment(7))
    assert [step.bay for step in found if step.recompress] == [2, 5, 6]
    assert [step.bay for step in found if LAST in step.notes] == [2, 6]


def test_a_bay_of_two_compartments_is_one_step():
    """Over and under an opening that goes through the depth: bays 2 and 3 lie in both."""
    found = steps(compartment(2, 3), compartment(1, 2, 3, 4))
    assert [(step.bay, step.recompress) for step in found] == [(1, False), (2, True), (3, True), (4, True)]


def test_closed_bays_that_are_balanced_together_take_no_spill_and_the_last_one_is_sampled():
    found = steps(compartment(1, 2, 3, spills=()), method=Method.HOSE)
    assert not any(step.recompress for step in found)
    assert [LAST in step.notes for step in found] == [False, False, True]


def test_of_bays_that_are_balanced_together_only_those_that_fill_moves_between_take_spill():
    found = steps(compartment(1, 2, 4, 5, 6, spills=((1, 2), (4, 5))))
    assert [step.bay for step in found if step.recompress] == [2, 5]
    assert [step.bay for step in found if LAST in step.notes] == [6]


def test_a_bay_that_nothing_goes_into_is_packed_by_hand():
    found = sequence(
        compartments=(compartment(1, 2, 3),), method=Method.LANCE, sampling=SAMPLING, by_hand=frozenset({3})
    )
    assert [BY_HAND in step.notes for step in found] == [False, False, True]
    assert [SPILL in step.notes for step in found] == [False, True, False]


def test_an_open_blow_has_no_bays_to_go_through():
    assert steps(compartment(1, 2), method=Method.OPEN_BLOW) == ()


dense_methods = st.sampled_from([method for method in Method if method is not Method.OPEN_BLOW])


@given(
    bays=st.lists(st.sets(st.integers(1, 30), min_size=1, max_size=8), min_size=1, max_size=5),
    method=dense_methods,
)
def test_every_bay_is_visited_once_from_one_end_to_the_other(bays, method):
    found = steps(*(compartment(*sorted(each)) for each in bays), method=method)
    assert [step.bay for step in found] == sorted(set().union(*bays))
