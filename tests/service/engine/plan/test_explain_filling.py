"""What goes in, how it is proved and how long it takes is explained by window, volume and rates."""

import pytest

from service.engine.ground.explanation import Explanation
from service.engine.plan.explain_filling import explain_filling
from service.engine.survey.cavity import Cavity
from tests.arithmetic import evaluated
from tests.builders import attic, layer, practice, stud_wall, wall, worked

# A choice out of what bounds it, which is no arithmetic.
CHOSEN = {"density_window", "density_target"}


def explained(cavity: Cavity) -> dict[str, Explanation]:
    """The explanations of a cavity's filling by their pointers."""
    job = worked(cavity)
    found = explain_filling(
        at="",
        planned=job.found.cavities[0],
        practice=practice(),
        working=job.workings[0],
    )
    return {each.pointer: each for each in found}


BY_CHART = attic(label_r=38, layers=(layer(261),))


@pytest.mark.parametrize(
    "cavity",
    [wall(), stud_wall(count=2), attic(), BY_CHART],
    ids=["shared", "apart", "open", "by its chart"],
)
def test_each_figure_is_what_its_arithmetic_gives(cavity: Cavity) -> None:
    found = explained(cavity)
    assert len(found) > 5
    for each in found.values():
        if each.formula not in CHOSEN:
            assert float(evaluated(each)) == pytest.approx(each.value), each.pointer


def test_a_mass_is_the_target_in_the_room_with_its_bulge() -> None:
    job = worked(wall())
    found, planned = explained(wall())["/mass_kg"], job.found.cavities[0]
    inputs = {each.name: each.value for each in found.inputs}
    assert inputs["target_kg_m3"] == planned.density.target_kg_m3.value
    assert inputs["net_volume_m3"] == planned.geometry.net_volume_m3
    room = inputs["net_volume_m3"] + inputs["bulge_volume_m3"]
    assert found.value == pytest.approx(inputs["target_kg_m3"] * room)


def test_the_target_carries_the_source_of_its_own_rule() -> None:
    target = worked(wall()).found.cavities[0].density.target_kg_m3
    assert explained(wall())["/density/target_kg_m3/value"].provenance == target.provenance


def test_an_open_blow_has_no_window_and_a_closed_cavity_no_thickness() -> None:
    assert not [pointer for pointer in explained(attic()) if "/density/" in pointer]
    assert [pointer for pointer in explained(attic()) if "/open_blow/" in pointer]
    assert not [pointer for pointer in explained(wall()) if "/open_blow/" in pointer]
