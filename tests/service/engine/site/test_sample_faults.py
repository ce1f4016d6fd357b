"""Samples that cannot be."""

from dataclasses import replace

import pytest

from service.engine.ground.vocabulary import Facing, Runs
from service.engine.site.sample_faults import sample_faults
from tests import builders, site

# One bay of 2.400 x 0.560 x 0.300 m.
BAY = site.planned(site.one_bay())
WALL = site.planned(builders.wall())


def pointers(sample, planned=BAY, found_depth_mm=None, practice=None) -> list[str]:
    found = sample_faults(
        sample=sample,
        planned=planned,
        found_depth_mm=found_depth_mm,
        practice=practice or builders.practice(),
    )
    return [fault.pointer for fault in found]


@pytest.mark.parametrize(
    ("length_mm", "expected"), [(300, []), (304, []), (320, ["/length_mm"]), (900, ["/length_mm"])]
)
def test_a_core_is_no_longer_than_the_fill_is_deep(length_mm: float, expected: list[str]) -> None:
    """A core of 900 mm from a cavity of 200 mm was once accepted."""
    assert pointers(site.core(73, length_mm=length_mm)) == expected


def test_the_depth_that_was_found_is_what_counts() -> None:
    assert pointers(site.core(73, length_mm=335), found_depth_mm=340.0) == []
    assert pointers(site.core(73, length_mm=300), found_depth_mm=280.0) == ["/length_mm"]


def test_a_core_through_a_facing_that_gives_is_longer_than_the_cavity_is_deep() -> None:
    """Netting is expected to give 20 mm at mid-bay, where a core is taken."""
    netted = site.planned(site.one_bay(facing=Facing.NETTING))
    assert pointers(site.core(73, length_mm=318), netted) == []
    assert pointers(site.core(73, length_mm=330), netted) == ["/length_mm"]


def test_a_core_is_as_long_as_the_depth_that_was_found_or_says_how_long() -> None:
    assert pointers(site.core(73, length_mm=None), found_depth_mm=300.0) == []
    assert pointers(site.core(73, length_mm=None)) == ["/length_mm"]


def test_a_core_is_of_the_firms_tool_or_says_of_which() -> None:
    profile = builders.practice()
    without = replace(profile, sampling=replace(profile.sampling, core_diameter_mm=None))
    assert pointers(site.core(73, diameter_mm=None), practice=without) == ["/diameter_mm"]
    assert pointers(site.core(73), practice=without) == []
    with_tool = replace(profile, sampling=replace(profile.sampling, core_diameter_mm=100.0))
    assert pointers(site.core(73, diameter_mm=None), practice=with_tool) == []


@pytest.mark.parametrize(
    ("sides", "expected"),
    [
        ((300, 300, 100), []),
        ((560, 2400, 300), []),
        ((2400, 560, 300), []),
        ((600, 600, 100), ["/width_mm"]),
        ((500, 2500, 100), ["/width_mm"]),
        ((2500, 500, 100), ["/length_mm"]),
        ((300, 300, 350), ["/depth_mm"]),
        ((1000, 1000, 500), ["/depth_mm", "/width_mm"]),  # 500 litres from a bay of 403
    ],
)
def test_a_block_is_no_larger_than_its_bay(sides, expected: list[str]) -> None:
    """The bay is 560 mm wide, 2400 mm high and 300 mm deep."""
    length_mm, width_mm, depth_mm = sides
    assert pointers(site.block(495, length_mm=length_mm, width_mm=width_mm, depth_mm=depth_mm)) == expected


def test_a_core_is_no_wider_than_its_bay() -> None:
    narrow = site.planned(site.one_bay(width_m=0.4))
    (room_m,) = narrow.geometry.layers[0].bay_widths_m
    assert pointers(site.core(73, diameter_mm=room_m * 1000 - 1), narrow) == []
    assert pointers(site.core(73, diameter_mm=room_m * 1000 + 1), narrow) == ["/diameter_mm"]


def test_a_sample_names_its_bay_where_there_are_several() -> None:
    assert pointers(site.core(70, bay=None), WALL) == ["/bay"]
    assert pointers(site.core(70, bay=None)) == []


def test_an_open_blow_has_no_samples() -> None:
    assert pointers(site.core(70), site.planned(builders.attic())) == ["/cavity"]


def test_a_bay_is_as_wide_as_it_is_where_bays_are_counted() -> None:
    """Outer studs at 400 mm, inner ones at 625: bays are those of the inner leaf, 580 mm clear."""
    outer, inner = builders.framing(spacing_mm=400), builders.framing()
    layers = (builders.layer(145, outer), builders.layer(120), builders.layer(95, inner))
    wall = site.planned(builders.wall(layers=layers, leaves_aligned=False))
    assert pointers(site.block(4000, bay=3, length_mm=400, width_mm=400), planned=wall) == []
    assert pointers(site.block(4000, bay=3, length_mm=600, width_mm=600), planned=wall) == ["/width_mm"]


def test_bays_of_members_across_are_as_long_as_the_cavity_is_wide() -> None:
    """Battens across a wall 0.8 m wide and 2.65 m high leave bays of 0.58 by 0.8 m."""
    across = builders.layer(145, builders.framing(runs=Runs.ACROSS, plates_mm=0))
    wall = site.planned(builders.wall(width_m=0.8, layers=(across,)))
    assert pointers(site.block(4000, bay=1, length_mm=500, width_mm=790), planned=wall) == []
    assert pointers(site.block(4000, bay=1, length_mm=500, width_mm=900), planned=wall) == ["/width_mm"]
