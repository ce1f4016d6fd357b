"""One cavity by itself is what the whole building has of it."""

from service.engine.geometry.plane import Plane
from service.engine.ground.working import Working
from service.engine.plan.cavity_takeoff import cavity_takeoff
from tests.builders import attic, material, practice, stud_wall, worked


def test_a_cavity_is_worked_out_alike_alone_and_in_a_building() -> None:
    found = worked(stud_wall(), attic()).found.cavities
    alone = [
        cavity_takeoff(cavity=cavity, material=material(), practice=practice(), lances=())
        for cavity in (stud_wall(), attic())
    ]
    assert [each.mass_kg for each in alone] == [each.mass_kg for each in found]
    assert [each.loads for each in alone] == [each.loads for each in found]


def test_a_dense_fill_has_a_window_and_an_open_blow_has_none() -> None:
    dense, blown = worked(stud_wall(), attic()).found.cavities
    assert (dense.density is None, dense.open_blow is None) == (False, True)
    assert (blown.density is None, blown.open_blow is None) == (True, False)
    assert (blown.samples, blown.loads) == (0, ())


def test_the_layout_is_kept_for_who_asks_for_the_working() -> None:
    working = Working()
    cavity = stud_wall()
    cavity_takeoff(cavity=cavity, material=material(), practice=practice(), lances=(), working=working)
    assert working.of(Plane).cavity.label == cavity.label
