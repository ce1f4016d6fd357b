"""Entries whose fields do not fit one another."""

import pytest

from service.engine.ground.vocabulary import BagsAre, BayState, Purpose
from service.engine.site.entry import Entry
from service.engine.site.entry_shape import shape_faults
from tests import site


def pointers(entry: Entry) -> list[str]:
    return [fault.pointer for fault in shape_faults(entry)]


@pytest.mark.parametrize(
    ("entry", "expected"),
    [
        (site.fill(), ["/mass_kg"]),
        (site.fill(bags=1, mass_kg=12), ["/mass_kg"]),
        (site.fill(bags=1, from_spill=True), ["/mass_kg"]),
        (site.fill(bags=1, bay=2, last_bay=3), ["/last_bay"]),
        (site.fill(mass_kg=0), []),
        (site.fill(bags=1, run_empty=True, hopper_kg=3), ["/hopper_kg"]),
        (site.tally(), []),
        (site.tally(bags=1, mass_kg=12), ["/mass_kg"]),
        (site.tally(bags_are=BagsAre.TOTAL), ["/bags_are"]),
        (site.hole("S1", number=3), ["/number"]),
        (site.hole(None), ["/number", "/width_mm", "/height_mm"]),
        (site.hole("S1", width_mm=None), ["/width_mm"]),
        (site.hole(None, number=3), []),
        (site.hole(None, number=3, purpose=Purpose.SERVICE), ["/purpose"]),
        (site.patch("S1", number=3), ["/number"]),
        (site.patch(None), ["/number"]),
        (site.found(), ["/depth_mm"]),
        (site.found(depth_mm=(340,)), []),
        (site.found(bay=3), ["/depth_mm", "/state"]),
        (site.found(state=BayState.FULL), ["/bay"]),
        (site.found(state=BayState.FULL, bay=3), []),
        (site.found(state=BayState.FULL, bay=3, layer=1), ["/layer"]),
        (site.found(members=5, members_at_m=(0, 1)), ["/members_at_m"]),
        (site.found(members_at_m=(1, 0.5)), ["/members_at_m"]),
        (site.delivery(), ["/bags"]),
        (site.delivery(left_over=0), []),
        (site.delivery(mass_kg=40), ["/mass_kg"]),
        (site.delivery(mass_kg=40, from_job="J-2026-0001"), []),
        (site.delivery(bags=3, mass_kg=40, from_job="J-2026-0001"), ["/mass_kg"]),
        (site.reclaimed(0), []),
        (site.reclaimed(0, bags=1), ["/mass_kg"]),
        (site.note("rain"), []),
        (site.note(None), ["/remark"]),
    ],
    ids=str,
)
def test_what_does_not_fit_is_named(entry: Entry, expected: list[str]) -> None:
    assert pointers(entry) == expected


def test_an_air_test_has_a_result() -> None:
    test = site.air_test()
    assert pointers(test) == []
    assert pointers(type(test)(before_or_after=test.before_or_after, tested_by="x", **site.said())) == [
        "/n50_per_h"
    ]
