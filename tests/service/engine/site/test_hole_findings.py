"""What a finding says of holes at a glance."""

from dataclasses import replace

import pytest

from service.engine.site.holes_made import holes_findings
from tests import builders, site

WALL = site.planned(builders.wall(), holes=15)


def finding(*entries):
    (found,) = holes_findings(cavities=(WALL,), ledger=site.ledger(*entries), practice=builders.practice())
    return found


@pytest.mark.parametrize(
    ("wiped", "pressed_on", "counts"), [(True, True, True), (False, True, False), (True, False, False)]
)
def test_a_patch_counts_where_it_was_wiped_and_pressed_on(wiped, pressed_on, counts) -> None:
    tally = replace(site.tally(), wiped=wiped, pressed_on=pressed_on)
    patch = finding(tally).patch
    assert patch
    assert patch.counts is counts


def test_a_hole_is_called_by_its_number_its_tag_or_its_sample() -> None:
    core = site.core(70)
    names = [each.name for each in finding(site.hole("P1"), site.hole(None, number=1), core).singles]
    assert names == ["P1", "1", core.id]


def test_any_hole_that_nobody_closed_leaves_the_part_open() -> None:
    assert finding(site.hole("P1", minute=40), site.tally()).is_open  # made after what closed the others
    assert not finding(site.tally()).is_open
