"""The maker's R-value: off a row of his chart, or none."""

from dataclasses import replace

import pytest

from service.engine.ground.vocabulary import Element, Market
from service.engine.heat.thermal import M2K_W_PER_LABEL_R
from service.engine.plan.density import window
from service.engine.plan.labels import label_r, unlabelled
from service.engine.survey.practice import ClosedRow
from tests.builders import attic, layer, material, practice, stud_wall, worked
from tests.said import said
from tests.site import limits

ROW = ClosedRow(depth_mm=140, label_r=20, lowest_kg_m3=45, highest_kg_m3=75)
WINDOW = limits(50, 70)


def printed(depth_mm=140.0, *, rows=(ROW,), density=WINDOW, market=Market.US):
    cavity = stud_wall(layers=(layer(depth_mm),))
    return label_r(cavity=cavity, density=density, material=material(closed_chart=rows), market=market)


def test_a_closed_cavity_has_the_r_of_the_row_of_its_depth():
    assert printed() == 20


@pytest.mark.parametrize(
    ("depth_mm", "r"), [(139.5, 20), (140.5, 20), (139.4, None), (140.6, None), (70, None), (280, None)]
)
def test_between_rows_there_is_no_r(depth_mm, r):
    """16 CFR 460.17: an R per inch is not multiplied by inches; only measuring has its leeway."""
    assert printed(depth_mm, rows=(ROW, replace(ROW, depth_mm=184.2, label_r=26))) == r


def test_of_two_rows_within_a_millimetre_the_nearer_holds():
    rows = (ROW, replace(ROW, depth_mm=140.6, label_r=20.1))
    assert (printed(140.2, rows=rows), printed(140.4, rows=rows)) == (20, 20.1)


@pytest.mark.parametrize(
    ("lowest", "highest", "r"), [(45, 75, 20), (44.9, 75, None), (45, 75.1, None), (76, 80, None)]
)
def test_a_row_holds_where_it_holds_for_every_density_of_the_window(lowest, highest, r):
    assert printed(density=limits(lowest, highest)) == r


def test_rows_of_one_depth_are_told_apart_by_their_densities():
    loose = replace(ROW, label_r=19, lowest_kg_m3=25, highest_kg_m3=44)
    assert printed(rows=(loose, ROW)) == 20
    assert printed(rows=(loose, ROW), density=limits(30, 40)) == 19


def test_outside_the_us_market_the_declared_conductivity_counts():
    assert printed(market=Market.EU) is None


def test_an_open_blow_has_the_row_that_was_asked_for():
    cavity = attic(label_r=38)
    assert label_r(cavity=cavity, density=None, material=material(), market=Market.US) == 38
    assert label_r(cavity=attic(), density=None, material=material(), market=Market.EU) is None


def test_only_a_us_receipt_lacks_an_r():
    cavity = stud_wall()
    (told,) = unlabelled(cavity=cavity, density=WINDOW, label_r=None, market=Market.US)
    assert "no row for 140 mm at 50.0 kg/m³ to 70.0 kg/m³" in said(told)
    assert unlabelled(cavity=cavity, density=WINDOW, label_r=20, market=Market.US) == ()
    assert unlabelled(cavity=cavity, density=WINDOW, label_r=None, market=Market.EU) == ()
    assert unlabelled(cavity=attic(), density=None, label_r=None, market=Market.US) == ()


def test_the_resistance_of_a_fill_is_its_makers_and_says_so():
    """By hand: R-20 is 20 x 0.176110 = 3.5222 m2K/W; calculated it is 0.140/0.039 = 3.5897."""
    sheet, us = material(closed_chart=(ROW,)), practice(market=Market.US)
    job = worked(stud_wall(), stud_wall(label="W9", layers=(layer(150),)), material=sheet, practice=us)
    known, unknown = job.found.cavities
    assert window(cavity=stud_wall(), material=sheet, practice=us) == known.density
    assert (known.thermal.label_r, known.thermal.r_fill) == (20, pytest.approx(20 * M2K_W_PER_LABEL_R))
    assert known.thermal.r_fill == pytest.approx(3.5222, abs=5e-5)
    assert (known.thermal.r_fill_by.formula, unknown.thermal.r_fill_by.formula) == (
        "label_resistance",
        "fill_resistance",
    )
    assert (unknown.thermal.label_r, unknown.thermal.r_fill) == (None, pytest.approx(0.15 / 0.039))
    assert any("no row for 150 mm" in said(caution) for caution in unknown.cautions)
    assert not any("no row" in said(caution) for caution in known.cautions)
    assert known.element is Element.WALL
