import pytest

from service.engine.geometry.compartments import compartments, parts
from service.engine.geometry.geometry import geometry
from service.engine.ground.vocabulary import Facing
from service.engine.plan.loads import loads
from service.engine.plan.quantities import bulging_m2, filled_volume_m3
from tests import builders


def of(cavity):
    return loads(
        cavity=cavity,
        compartments=compartments(cavity=cavity),
        facing_m2=bulging_m2(cavity=cavity, parts=parts(cavity=cavity), practice=builders.practice()),
        target_kg_m3=55,
        practice=builders.practice(),
    )


def test_each_closed_bay_has_the_kilograms_of_its_own_room() -> None:
    """6.0 x 2.5 m, members 45 at 600 mm: 0.555 m clear, the last 0.510 m; 2.365 x 0.14 m."""
    found = of(builders.stud_wall())
    assert [each.label for each in found] == [f"W2/{bay}" for bay in range(1, 11)]
    assert found[0].mass_kg == pytest.approx(55 * 0.555 * 2.365 * 0.14)
    assert found[9].mass_kg == pytest.approx(55 * 0.51 * 2.365 * 0.14)


def test_a_shared_compartment_has_one_load() -> None:
    (found,) = of(builders.wall())
    assert found.bays == tuple(range(1, 16))
    assert found.mass_kg == pytest.approx(55 * 8.322192)


@pytest.mark.parametrize(
    "cavity",
    [
        builders.wall(facing=Facing.NETTING),
        builders.stud_wall(facing=Facing.NETTING),
        builders.floor(facing=Facing.NETTING),
        builders.stud_wall(facing=Facing.NETTING, count=3),
    ],
)
def test_the_loads_add_up_to_the_cavity(cavity) -> None:
    shape = geometry(cavity=cavity)
    whole_m3 = filled_volume_m3(
        cavity=cavity, geometry=shape, parts=parts(cavity=cavity), practice=builders.practice()
    )
    assert cavity.count * sum(each.mass_kg for each in of(cavity)) == pytest.approx(55 * whole_m3)
