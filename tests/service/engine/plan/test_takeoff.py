"""A whole building: what its cavities add up to, and what must not change it."""

from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass, replace
from decimal import Decimal
from math import ceil, fsum, isfinite
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from service.engine.ground.vocabulary import Facing, Method, Runs
from service.engine.plan.takeoff import ENGINE, Worked
from service.engine.survey.cavity import Cavity
from service.engine.survey.single import one_by_one
from service.errors import Fault, InvalidInput
from tests.builders import (
    attic,
    displaced,
    floor,
    framing,
    layer,
    opening,
    practice,
    roof_slope,
    stud_wall,
    wall,
    worked,
)
from tests.said import said
from tests.site import assessed
from tests.site import planned as site_planned
from tests.strategies import buildings, framings, layers

CENT = Decimal("0.01")
FEW = settings(max_examples=50, deadline=None)


def answered(cavities: Iterable[Cavity]) -> tuple[Worked | None, tuple[Fault, ...]]:
    """The takeoff of a building, or why it is refused."""
    try:
        return worked(*cavities), ()
    except InvalidInput as refused:
        return None, refused.faults


def accepted(cavities: Iterable[Cavity]) -> Worked:
    """The takeoff of a random building; one that is refused is another test's business."""
    found, _ = answered(cavities)
    assume(found)
    assert found
    return found


def figures(thing: Any) -> Iterator[float]:
    """Every number in a result."""
    if is_dataclass(thing):
        for field in fields(thing):
            yield from figures(getattr(thing, field.name))
    elif isinstance(thing, tuple):
        for each in thing:
            yield from figures(each)
    elif isinstance(thing, int | float | Decimal):
        yield float(thing)


def test_a_house_by_hand() -> None:
    """A stud wall of 0.14 x 5.505 x 2.365 m3 at 55 kg/m3, an attic of 75.2 m2 at 10.5 kg/m2 and its guard.

    The wall: 10 holes, 350 kg/h; the attic: no holes, 500 kg/h; moves of 0.03 h each; 1.75 h for the job.
    """
    found = worked(stud_wall(), attic()).found
    wall_kg, attic_kg = 0.14 * 5.505 * 2.365 * 55, 75.2 * found.cavities[1].open_blow.guard.planned_kg_m2
    assert 75.2 * 10.5 < attic_kg < 1.04 * 75.2 * 10.5
    assert found.mass_kg == pytest.approx(wall_kg + attic_kg)
    assert found.bags == ceil((100.25 + attic_kg) / 12.5)
    assert (found.holes, found.patches, found.samples) == (10, 10, 2)
    blowing_h = wall_kg / 350 + attic_kg / 500 + 2 * 0.03
    assert found.blowing_hours == pytest.approx(blowing_h)
    assert found.crew_hours == pytest.approx(blowing_h + 10 * 0.05 + 10 * 0.08 + 2 * 0.15 + 1.75)
    assert found.engine == ENGINE


def test_samples_are_of_shared_compartments_and_of_closed_bays_that_are_noted_together() -> None:
    """One bay in five of the 15 that are open to one another; of ten closed ones two."""
    found = worked(wall(), stud_wall(), attic(), wall(label="W9", count=2)).found
    assert [each.samples for each in found.cavities] == [3, 2, 0, 6]


@pytest.mark.parametrize(
    ("cavity", "samples"),
    [
        (stud_wall(openings=(opening(),)), 2),
        (stud_wall(openings=(opening(),), count=3), 6),
        (floor(openings=(opening(),)), 3),
        (wall(openings=(opening(),)), 3),
    ],
)
def test_as_many_samples_are_planned_as_the_assessment_asks_for(cavity: Cavity, samples: int) -> None:
    """An opening has no place: one bay in five, at least two, of those that are balanced together."""
    (planned,) = worked(cavity).found.cavities
    assert planned.samples == samples
    findings = assessed(*map(site_planned, one_by_one(cavities=(cavity,)))).cavities
    spaces = [space for finding in findings for space in finding.compartments]
    assert sum(space.samples_needed for space in spaces) == samples


def test_hold_points_and_cautions_come_with_the_takeoff() -> None:
    found = worked(floor(), roof_slope(target_kg_m3=46), built_year=1950).found
    assert {(point.code, point.cavity) for point in found.hold_points} == {
        ("timber_moisture", "F1"),
        ("timber_moisture", "R1"),
        ("old_wiring", None),
        ("recessed_luminaires", "F1"),
        ("recessed_luminaires", "R1"),
    }
    assert any("below advice" in said(caution) for caution in found.cavities[1].cautions)


def test_every_fault_of_every_cavity_is_named_at_once() -> None:
    with pytest.raises(InvalidInput) as refused:
        worked(wall(), wall(width_m=0), stud_wall(facing=Facing.NONE), stud_wall(label="W3", label_r=30))
    assert [fault.pointer for fault in refused.value.faults] == [
        "/cavities/1/label",
        "/cavities/1/width_m",
        "/cavities/2/facing",
        "/cavities/3/label_r",
    ]


@pytest.mark.parametrize(
    ("missing", "lap_mm", "says"),
    [
        ({Method.LANCE, Method.HOSE}, 50, "no rates for: hose, lance"),
        (set(), 150, "lap by no less than they are wide"),
    ],
)
def test_a_profile_that_cannot_be_worked_by_is_refused_for_what_it_is(missing, lap_mm, says) -> None:
    """The fault lies with the profile that was named, and with no cavity."""
    ours = practice()
    rates = tuple(each for each in ours.rates.methods if each.method not in missing)
    profile = replace(
        ours,
        rates=replace(ours.rates, methods=rates),
        patching=replace(ours.patching, lap_mm=lap_mm),
    )
    with pytest.raises(InvalidInput) as refused:
        worked(wall(), practice=profile)
    (fault,) = refused.value.faults
    assert fault.pointer == "/practice"
    assert says in said(fault.detail)


@FEW
@given(buildings())
def test_everything_is_finite_or_refused(cavities: Any) -> None:
    found = accepted(cavities).found
    numbers = list(figures(found))
    assert len(numbers) > 50
    assert all(isfinite(number) for number in numbers)
    assert found.mass_kg > 0
    assert found.crew_hours > 0


NASTY = st.one_of(st.floats(), st.sampled_from([0.0, -1.0, 1e308, 5e-324, 1e-300]))


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_any_number_is_refused_or_gives_finite_figures(data: st.DataObject) -> None:
    def maybe(usual: float) -> float:
        return data.draw(st.one_of(st.just(usual), st.just(usual), st.just(usual), NASTY))

    framed = framing(member_mm=maybe(45.0), spacing_mm=maybe(625.0), plates_mm=maybe(90.0))
    cavity = wall(
        width_m=maybe(9.4),
        span_m=maybe(2.65),
        layers=(layer(maybe(145.0), framed), layer(maybe(120.0))),
        displaced=displaced(maybe(0.0)),
        target_kg_m3=data.draw(st.one_of(st.none(), NASTY)),
    )
    found, faults = answered([cavity])
    assert all(isfinite(number) for number in figures(found))
    assert all(fault.pointer.startswith("/cavities/0/") for fault in faults)
    assert bool(found) is not bool(faults)


@FEW
@given(buildings(), st.randoms(use_true_random=False))
def test_the_order_of_cavities_does_not_matter(cavities: Any, shuffled: Any) -> None:
    first = accepted(cavities).found
    other_way = list(cavities)
    shuffled.shuffle(other_way)
    second = worked(*other_way).found
    by_label = {each.label: each for each in second.cavities}
    assert all(by_label[each.label] == each for each in first.cavities)
    assert (second.bags, second.holes, second.samples) == (first.bags, first.holes, first.samples)
    assert second.mass_kg == pytest.approx(first.mass_kg)
    assert second.crew_hours == pytest.approx(first.crew_hours)
    assert abs(second.price.total - first.price.total) <= CENT * 3  # a quantity's half hundredth


@FEW
@given(buildings(), st.integers(2, 4))
def test_identical_cavities_may_be_counted_or_listed(cavities: Any, count: int) -> None:
    counted = accepted(replace(each, count=count) for each in cavities).found
    listed = worked(
        *(
            replace(each, label=f"{each.label}-{number}", count=1)
            for each in cavities
            for number in range(count)
        )
    ).found
    assert (counted.bags, counted.holes, counted.samples) == (listed.bags, listed.holes, listed.samples)
    for name in ("mass_kg", "tape_m", "strip_m", "crew_hours", "blowing_hours"):
        assert getattr(counted, name) == pytest.approx(getattr(listed, name))


@FEW
@given(
    framings(runs=st.just(Runs.ALONG)), st.integers(2, 12), st.data(), st.floats(2.2, 4.0), st.integers(1, 2)
)
def test_a_wall_cut_in_two_at_a_member_takes_as_much(framed, bays, data, span_m, leaves) -> None:
    """Both halves keep the member at the cut, so that their widths overlap by it."""
    cut = data.draw(st.integers(1, bays - 1))
    spacing_m, member_m = framed.spacing_mm / 1000, framed.member_mm / 1000
    whole, left, right = (
        stud_wall(
            label=label,
            width_m=count * spacing_m + member_m,
            span_m=span_m,
            layers=(layer(95, framed),) * leaves,
            facing=Facing.NETTING,  # which bulges
        )
        for label, count in (("W", bays), ("L", cut), ("R", bays - cut))
    )
    one, two = worked(whole).found, worked(left, right).found
    assert two.mass_kg == pytest.approx(one.mass_kg)
    assert (two.holes, two.patches) == (one.holes, one.patches)
    volumes = [
        fsum(space.net_volume_m3 for each in found.cavities for space in each.compartments)
        for found in (one, two)
    ]
    assert volumes[1] == pytest.approx(volumes[0])


MORE_TIMBER = {
    "closer members": lambda framed: replace(framed, spacing_mm=framed.spacing_mm * 0.8),
    "another row of blocking": lambda framed: replace(
        framed, blocking_rows=framed.blocking_rows + 1, blocking_mm=45
    ),
    "thicker plates": lambda framed: replace(framed, plates_mm=framed.plates_mm + 45),
}


@pytest.mark.parametrize("more", MORE_TIMBER.values(), ids=MORE_TIMBER)
@FEW
@given(framed=framings(runs=st.sampled_from(Runs)), beside=layers(runs=st.just(Runs.ALONG)))
def test_more_timber_never_means_more_kilograms(more, framed, beside) -> None:
    less, timbered = (
        worked(wall(layers=(beside, layer(95, each)), facing=Facing.NETTING)).found
        for each in (framed, more(framed))
    )
    assert timbered.mass_kg < less.mass_kg
    assert timbered.bags <= less.bags


@FEW
@given(buildings())
def test_lines_of_the_price_add_up_to_the_cent(cavities: Any) -> None:
    price = accepted(cavities).found.price
    for line in price.lines:
        assert line.amount == line.amount.quantize(CENT)
        assert abs(line.amount - line.quantity * line.unit_price) <= CENT / 2
    off = sum(each.amount for each in price.allowances)
    assert price.net == sum(line.amount for line in price.lines) - off
    assert price.total == price.net + price.tax
    assert abs(price.tax - price.net * price.tax_percent / 100) <= CENT / 2


@FEW
@given(buildings())
def test_bags_rounded_once_are_never_more_than_bags_rounded_for_each_cavity(cavities: Any) -> None:
    once = accepted(cavities).found.bags
    each = sum(worked(cavity).found.bags for cavity in cavities)
    assert each - len(cavities) < once <= each
