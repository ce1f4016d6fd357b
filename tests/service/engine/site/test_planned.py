from dataclasses import replace

import pytest

from service.engine.geometry.compartments import Compartment
from service.engine.site.planned import OVER_ONE_ANOTHER, UNPLACED, as_one_space, spaces
from tests import builders, site


def plan(*bays: tuple[int, ...], of: int = 4):
    """A plan whose compartments lie in these bays, of 1 m3 each."""
    found = site.planned(builders.stud_wall())
    return replace(
        found,
        geometry=replace(found.geometry, bays=of),
        compartments=tuple(
            Compartment(
                label=f"W2/{each[0]}",
                bays=each,
                net_volume_m3=1.0,
                shared=len(each) > 1,
                spills=(each,) if len(each) > 1 else (),
            )
            for each in bays
        ),
    )


def test_separate_bays_are_balanced_one_by_one() -> None:
    planned = site.planned(builders.stud_wall())
    found = spaces(planned=planned, bays_named=True)
    assert [space.label for space in found] == [f"W2/{bay}" for bay in range(1, 11)]
    assert not any(space.shared for space in found)
    assert sum(space.net_volume_m3 for space in found) == pytest.approx(planned.geometry.net_volume_m3)


def test_separate_bays_are_balanced_as_a_whole_where_fills_do_not_name_them() -> None:
    planned = site.planned(builders.stud_wall())
    (found,) = spaces(planned=planned, bays_named=False)
    assert (found.label, found.bays, found.shared) == ("W2", tuple(range(1, 11)), True)
    assert found.note
    assert found.note.code == "site.bays_noted_together"
    assert found.net_volume_m3 == pytest.approx(planned.geometry.net_volume_m3)


@pytest.mark.parametrize("bays_named", [True, False])
def test_closed_bays_are_one_space_where_an_opening_has_no_place(bays_named: bool) -> None:
    planned = site.planned(builders.stud_wall(openings=(builders.opening(),)))
    (found,) = spaces(planned=planned, bays_named=bays_named)
    assert (found.label, found.bays, found.shared) == ("W2", tuple(range(1, 11)), True)
    assert found.note == UNPLACED
    assert found.net_volume_m3 == pytest.approx(planned.geometry.net_volume_m3)


def test_the_note_is_of_bays_that_are_closed_off_alone() -> None:
    """With an opening without a place: one compartment anyway; two at a door; a single bay in two parts."""
    window = builders.opening(width_m=0.3, height_m=0.3)
    door = builders.opening(width_m=1.0, height_m=2.56, left_m=3.0, sill_m=0.045)
    halves = builders.layer(140, builders.framing(blocking_rows=1, blocking_mm=45))
    for cavity, note in (
        (builders.wall(openings=(window,)), None),
        (builders.wall(openings=(door, window)), UNPLACED),
        (builders.stud_wall(width_m=0.6, layers=(halves,), openings=(window,)), None),
    ):
        (found,) = spaces(planned=site.planned(cavity), bays_named=True)
        assert found.note == note


@pytest.mark.parametrize("bays_named", [True, False])
def test_a_shared_compartment_is_one_space_either_way(bays_named: bool) -> None:
    planned = site.planned(builders.wall())
    (found,) = spaces(planned=planned, bays_named=bays_named)
    assert (found.label, found.shared, found.note) == ("W1", True, None)
    assert found == as_one_space(planned=planned)


def test_the_volume_is_of_one_of_the_identical_cavities() -> None:
    (found,) = spaces(planned=site.planned(builders.wall(count=4)), bays_named=True)
    assert found.net_volume_m3 == pytest.approx(8.322192)


def test_blocked_parts_of_a_bay_are_one_space_because_fills_name_the_bay() -> None:
    planned = site.planned(builders.floor())
    assert len(planned.compartments) == 2 * planned.geometry.bays
    found = spaces(planned=planned, bays_named=True)
    assert [space.label for space in found] == [f"F1/{bay}" for bay in range(1, planned.geometry.bays + 1)]
    assert found[0].net_volume_m3 == pytest.approx(
        sum(each.net_volume_m3 for each in planned.compartments if each.bays == (1,))
    )
    assert {space.note for space in found} == {OVER_ONE_ANOTHER}


def test_only_a_bay_that_has_parts_is_told_to_be_known_by_their_mean() -> None:
    """A window parts the third bay of ten, and no other."""
    cut = builders.opening(left_m=1.2, sill_m=0.9, width_m=0.6, trim_mm=0)
    found = spaces(planned=site.planned(builders.stud_wall(openings=(cut,))), bays_named=True)
    assert [space.bays for space in found if space.note] == [(3,)]


def test_compartments_that_meet_in_a_bay_are_one_space() -> None:
    """Bays 1 to 2 and 2 to 3 meet in bay 2, whichever came first; bay 4 is by itself."""
    for order in (((1, 2), (2, 3), (4,)), ((4,), (2, 3), (1, 2)), ((1,), (3,), (1, 2, 3), (4,))):
        found = spaces(planned=plan(*order), bays_named=True)
        assert [(space.label, space.bays) for space in found] == [("W2/1-3", (1, 2, 3)), ("W2/4", (4,))]
        assert found[0].net_volume_m3 == len(order) - 1
        assert found[0].shared


def test_compartments_one_over_the_other_are_the_whole_cavity() -> None:
    (found,) = spaces(planned=plan((1, 2), (1, 2), of=2), bays_named=True)
    assert (found.label, found.net_volume_m3, found.note) == ("W2", 2.0, OVER_ONE_ANOTHER)
