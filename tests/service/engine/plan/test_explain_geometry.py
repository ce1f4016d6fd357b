"""Sizes, areas and volumes are explained by what was surveyed, layer by layer."""

import pytest

from service.engine.geometry.plane import Plane
from service.engine.ground.explanation import Explanation
from service.engine.plan.explain_geometry import explain_geometry
from service.engine.survey.cavity import Cavity
from tests.arithmetic import evaluated
from tests.builders import displaced, fraction, framing, layer, opening, stud_wall, wall, worked

COUNTED = framing(spacing_mm=None, members=16)


def explained(cavity: Cavity) -> dict[str, Explanation]:
    """The explanations of a cavity's geometry by their pointers."""
    job = worked(cavity)
    found = explain_geometry(
        at="", surveyed=cavity, planned=job.found.cavities[0], laid_out=job.workings[0].of(Plane)
    )
    return {each.pointer: each for each in found}


def test_figures_are_those_of_a_wall_worked_out_by_hand() -> None:
    """9.4 m x 2.65 m, 145 + 120 + 95 mm deep; a window of 1.44 m2."""
    found = explained(wall(openings=(opening(),), displaced=displaced(0.05)))
    assert found["/geometry/depth_mm"].value == 360
    assert found["/geometry/gross_area_m2"].value == pytest.approx(24.91)
    assert found["/geometry/gross_volume_m3"].value == pytest.approx(24.91 * 0.36)
    assert found["/geometry/net_area_m2"].value == pytest.approx(24.91 - 1.44)


@pytest.mark.parametrize(
    ("cavity", "formulas"),
    [
        (wall(openings=(opening(left_m=2.0, sill_m=0.9),)), ["clear_area", "open_area", "clear_area"]),
        (wall(), ["clear_area", "open_area", "clear_area"]),
        (stud_wall(openings=(opening(),)), ["clear_area"]),
        (stud_wall(layers=(layer(140, fraction()),)), ["fraction_area"]),
        (stud_wall(layers=(layer(140),)), ["open_area"]),
    ],
    ids=["placed", "even", "unplaced", "fraction", "open"],
)
def test_each_layer_is_explained_by_the_way_its_area_came_about(cavity: Cavity, formulas: list[str]) -> None:
    found = explained(cavity)
    layers = [found[f"/geometry/layers/{place}/net_area_m2"] for place in range(len(cavity.layers))]
    assert [each.formula for each in layers] == formulas
    for each in layers:
        assert float(evaluated(each)) == pytest.approx(each.value)


def test_a_framed_layers_area_is_that_of_its_bays() -> None:
    """Ten bays of 0.54 or 0.555 m (the last narrower) by 2.5 m less plates of 135 mm, set out by hand."""
    found = explained(stud_wall())["/geometry/layers/0/net_area_m2"]
    clear_m2 = [each.value for each in found.inputs if each.name == "clear_m2"]
    widths_m = [0.555] * 9 + [6.0 - 0.045 - 9 * 0.6 - 0.045]
    assert clear_m2 == pytest.approx([width * (2.5 - 0.135) for width in widths_m])


def test_members_are_explained_by_their_spacing_and_not_where_they_were_counted() -> None:
    assert explained(wall())["/geometry/layers/0/members"].value == 16
    found = explained(wall(layers=(layer(145, COUNTED), layer(120))))
    assert "/geometry/layers/0/members" not in found


def test_every_compartment_has_its_volume_explained() -> None:
    job = worked(stud_wall())
    spaces = [each for pointer, each in explained(stud_wall()).items() if "/compartments/" in pointer]
    assert len(spaces) == 10
    whole = job.found.cavities[0].geometry.net_volume_m3
    assert sum(each.value for each in spaces) == pytest.approx(whole)
