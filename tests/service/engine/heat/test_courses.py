import pytest
from ht.conduction import k_to_R

from service.engine.ground.vocabulary import CourseKind
from service.engine.heat.buildup import flanks
from service.engine.heat.courses import courses
from service.engine.heat.surfaces import Surfaces
from service.engine.survey.cavity import BuildUpLayer
from tests import builders

BOARD = BuildUpLayer(name="board", thickness_mm=15.0, conductivity_w_mk=0.13)
RAIN_SCREEN = BuildUpLayer(name="boarding", thickness_mm=20.0, conductivity_w_mk=0.13)
AIR = BuildUpLayer(name="air", thickness_mm=40.0, ventilated=True)
LINING = BuildUpLayer(name="plasterboard", resistance_m2k_w=0.05)
FACES = Surfaces(rsi=0.13, rse=0.13)


def test_courses_stand_from_the_outside_in_and_add_up():
    """The board's by the library ht, the rest by hand; outside a ventilated layer nothing counts."""
    board = k_to_R(k=0.13, t=0.015)
    wall = builders.wall(outside=(RAIN_SCREEN, AIR, BOARD), inside=(LINING,))
    found = courses(flanks=flanks(cavity=wall), faces=FACES, whole_m2k_w=8.0)
    assert [(each.kind, each.name) for each in found] == [
        (CourseKind.OUTER_SURFACE, ""),
        (CourseKind.LAYER, "board"),
        (CourseKind.FILL, ""),
        (CourseKind.LAYER, "plasterboard"),
        (CourseKind.INNER_SURFACE, ""),
    ]
    assert [each.resistance_m2k_w for each in found] == pytest.approx(
        [0.13, board, 8 - 0.13 - board - 0.05 - 0.13, 0.05, 0.13]
    )
    assert sum(each.resistance_m2k_w for each in found) == pytest.approx(8.0)


def test_a_cavity_by_itself_has_its_fill_and_two_surfaces():
    found = courses(flanks=flanks(cavity=builders.wall()), faces=FACES, whole_m2k_w=5.0)
    assert [each.resistance_m2k_w for each in found] == pytest.approx([0.13, 4.74, 0.13])
