"""A cavity's line repeats what was worked out, and its bags add up to the job's before they are rounded."""

from math import ceil

import pytest

from service.engine.plan.lines import lined
from service.engine.plan.takeoff import Worked
from tests.builders import attic, practice, stud_wall, worked


def house() -> Worked:
    """A wall twice, and an attic; a tenth of the material is lost."""
    return worked(stud_wall(label="W1", count=2), attic(label="A1"), practice=practice(waste_percent=10))


def test_a_line_repeats_what_was_worked_out() -> None:
    given = house()
    wall = given.found.cavities[0]
    line = lined(found=wall, material=given.material, practice=given.practice).line
    assert (line.label, line.element, line.count) == ("W1", wall.element, 2)
    assert line.net_area_m2 == wall.geometry.net_area_m2
    assert line.net_volume_m3 == wall.geometry.net_volume_m3
    assert line.depth_mm == wall.geometry.depth_mm
    assert line.mass_kg == wall.mass_kg
    assert wall.density is not None
    assert line.target_kg_m3 == wall.density.target_kg_m3.value
    assert (line.method, line.hours, line.holes) == (
        wall.fill_plan.method,
        wall.fill_plan.hours,
        wall.fill_plan.holes,
    )
    assert line.u_value_w_m2k == wall.thermal.u_value_w_m2k


def test_an_open_blow_has_no_target_density() -> None:
    given = house()
    line = lined(found=given.found.cavities[1], material=given.material, practice=given.practice).line
    assert line.target_kg_m3 is None


def test_the_lines_bags_are_the_jobs_before_they_are_rounded() -> None:
    given = house()
    lines = [
        lined(found=each, material=given.material, practice=given.practice).line
        for each in given.found.cavities
    ]
    # By hand: a tenth more than the mass, in bags.
    assert sum(line.bags for line in lines) == pytest.approx(
        1.1 * given.found.mass_kg / given.material.bag_kg
    )
    assert ceil(round(sum(line.bags for line in lines), 9)) == given.found.bags


def test_a_line_names_each_caution_and_its_words_are_beside_it() -> None:
    given = house()
    wall = lined(found=given.found.cavities[0], material=given.material, practice=given.practice)
    assert wall.cautions
    assert wall.line.cautions == tuple(said.code for said in wall.cautions)
