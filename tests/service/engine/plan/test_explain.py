"""Explanations are worked out again: their arithmetic, read as text, gives the figure that they explain."""

import ast
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings

from service.engine.ground.explanation import Explanation
from service.engine.ground.formula import Provenance
from service.engine.ground.vocabulary import Facing, Market, Runs
from service.engine.plan.explain import explain
from service.engine.plan.lances import reach_m
from service.engine.plan.takeoff import Worked
from service.engine.survey.cavity import Fasteners
from service.engine.survey.practice import Lance, Practice
from service.engine.survey.rates import Rates
from service.errors import InvalidInput
from tests.arithmetic import at, evaluated
from tests.builders import (
    attic,
    board,
    displaced,
    floor,
    fraction,
    framing,
    layer,
    opening,
    practice,
    roof_slope,
    stud_wall,
    wall,
    worked,
)
from tests.sources import ROOT, files
from tests.strategies import buildings

MODULES = files(ROOT / "service/engine", "**/explain*.py")
# What is a choice or a table, or goes by places that the answer does not show.
NOT_ARITHMETIC = {"density_window", "density_target", "surface_resistance", "compartment_volume"}
# Layout: numbers of bays and their widths. What is taken over as it was given or as it is on a sheet.
LAYOUT = {
    "sampled_bays",
    "options",
    "bays",
    "spills",
    "bay_widths_m",
    "count",
    "hole_list",
    "sequence",
    "alternatives",
    "considered",
}
GIVEN = {
    "depth_mm",
    "guard_factor",
    "settled_mm",
    "settlement_percent",
    "settled_kg_m3",
    "label_r",
    "tax_percent",
}
# What a proof leaves uncertain is a budget of many inputs; the tests of `plan/proof` work it out.
GIVEN |= {"net_volume_m3", "bulge_volume_m3"}
GIVEN |= {"quantity", "unit_price", "members"}


def house() -> Worked:
    """Every element and every kind of layer, openings, fasteners, a crossing layer, extras and a discount."""
    window = opening(left_m=1.89, sill_m=1.0, trim_mm=45)
    battens = framing(member_mm=60, spacing_mm=600, plates_mm=0, runs=Runs.ACROSS)
    return worked(
        wall(openings=(window, opening(count=2)), displaced=displaced(0.05), count=2, inside=(board(),)),
        stud_wall(openings=(opening(trim_mm=30),), facing=Facing.NETTING, air_gap_level=2),
        stud_wall(label="W3", layers=(layer(140, fraction()),), openings=(opening(trim_mm=30),)),
        wall(label="W4", layers=(layer(160, framing()), layer(60, battens)), facing=Facing.BOARD),
        wall(label="W5", facing=Facing.LINING, outside=(board(thickness_mm=40, timber_fraction=0.1),)),
        floor(inside=(board(conductivity_w_mk=None, resistance_m2k_w=0.12),)),
        roof_slope(fasteners=Fasteners(conductivity_w_mk=50, area_mm2=40, per_m2=6)),
        wall(
            label="W6",
            profile_m=((0.0, 1.5), (4.7, 2.65), (9.4, 1.5)),
            layers=(layer(145, framing(spacing_mm=None, members=16)), layer(120)),
            openings=(opening(width_m=0.6, count=2, reveal_mm=20),),
            displaced=displaced(0.02, bay=2),
        ),
        attic(),
        attic(label="A2", label_r=38, layers=(layer(261),)),
        travel_km=42.5,
    )


def is_arithmetic(each: Explanation) -> bool:
    """Whether its expression is worked out again; a curved lance's names the arc and no more."""
    curved = any(given_in.name == "curve_deg" and given_in.value for given_in in each.inputs)
    return each.formula not in NOT_ARITHMETIC and not curved


def figures(thing: Any, pointer: str = "") -> Iterator[str]:
    """The pointer of every number in a result that is neither layout nor taken over as it was."""
    if is_dataclass(thing):
        for field in fields(thing):
            if field.name not in LAYOUT:
                yield from figures(getattr(thing, field.name), f"{pointer}/{field.name}")
    elif isinstance(thing, tuple):
        for place, each in enumerate(thing):
            yield from figures(each, f"{pointer}/{place}")
    elif isinstance(thing, int | float | Decimal) and not isinstance(thing, bool):
        yield pointer


def test_every_figure_is_explained_once_and_is_the_one_in_the_takeoff() -> None:
    job = house()
    explanations = explain(worked=job)
    pointers = [each.pointer for each in explanations]
    assert len(pointers) == len(set(pointers))
    for each in explanations:
        assert each.value == float(at(job.found, each.pointer)), each.pointer
        assert each.provenance.source
        assert each.provenance.rule.code
    for pointer in set(figures(job.found)) - set(pointers):
        # Nothing is sampled, cut, drilled or corrected there, or it is as it was given; what is taken off
        # the price is worked out in the tests of `plan/sale`.
        given_so = pointer.rpartition("/")[2] in GIVEN or pointer.startswith("/price/allowances/")
        assert at(job.found, pointer) == 0 or given_so, pointer


def test_the_arithmetic_of_every_explanation_gives_its_figure() -> None:
    explanations = [each for each in explain(worked=house()) if is_arithmetic(each)]
    assert len(explanations) > 200
    for each in explanations:
        assert float(evaluated(each)) == pytest.approx(each.value, rel=1e-9, abs=1e-9), each


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.stem)
def test_an_explanation_names_what_was_found_and_reckons_nothing_again(module: Path) -> None:
    """No arithmetic on what it shows: every figure and every input is the calculation's own."""
    tree = ast.parse(module.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp | ast.AugAssign):
            assert isinstance(node.op, ast.BitOr), ast.unparse(node)  # of dictionaries
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in {"sum", "min", "max", "round", "abs", "pow"}, ast.unparse(node)
        assert not isinstance(node, ast.UnaryOp) or isinstance(node.op, ast.Not), ast.unparse(node)


def test_every_kind_of_formula_that_a_takeoff_has_is_worked_out_again() -> None:
    assert {each.formula for each in explain(worked=house())} - NOT_ARITHMETIC == {
        "bags",
        "bridged_resistance",
        "blowing_hours",
        "cavity_hours",
        "clear_area",
        "dense_mass",
        "fill_course",
        "fill_resistance",
        "first_check",
        "fraction_area",
        "given_resistance",
        "gross",
        "guard_band",
        "holes",
        "insulated_area",
        "job_hours",
        "label_chart",
        "label_resistance",
        "lance_reach",
        "layer_resistance",
        "lower_limit",
        "markers",
        "members",
        "net_volume",
        "open_area",
        "open_blow",
        "patch",
        "price",
        "proof",
        "sampling_plan",
        "strip",
        "tape",
        "timber_percent",
        "total",
        "u_value",
        "u_value_corrections",
        "u_value_error",
        "upper_limit",
    }


@settings(max_examples=40, deadline=None)
@given(buildings())
def test_it_does_for_any_building(cavities: Any) -> None:
    try:
        job = worked(*cavities)
    except InvalidInput:
        assume(False)
        raise
    for each in explain(worked=job):
        if is_arithmetic(each):
            assert float(evaluated(each)) == pytest.approx(each.value, rel=1e-9, abs=1e-9), each


def test_volumes_of_compartments_are_shares_of_the_net_volume() -> None:
    shares = defaultdict(list)
    for each in explain(worked=house()):
        if each.formula == "compartment_volume":
            shares[each.pointer.split("/")[2]].append(each.value)
    whole = [each.geometry.net_volume_m3 / each.count for each in house().found.cavities]
    assert [sum(of_cavity) for of_cavity in shares.values()] == pytest.approx(whole)


def test_a_lance_reaches_what_its_inputs_say() -> None:
    """Curved as well as straight; a tube pushed in step by step is held against it in test_lances."""
    straight, curved = (Lance(code="L", length_mm=2200, diameter_mm=40, curve_deg=deg) for deg in (0, 40))
    for lance in (straight, curved):
        (reach,) = (
            each
            for each in explain(worked=worked(wall(), lances=(lance,)))
            if each.pointer == "/cavities/0/fill_plan/lance_reach_m"
        )
        given_in = {each.name: each.value for each in reach.inputs}
        names = ("room_mm", "slit_mm", "held_mm")
        assert reach.value == reach_m(lance=lance, **{name: given_in[name] for name in names})
        assert (given_in["length_mm"], given_in["curve_deg"]) == (2200, lance.curve_deg)
    assert not any(
        each.formula == "lance_reach" for each in explain(worked=worked(stud_wall(), lances=(straight,)))
    )


def test_limits_of_the_density_are_among_what_was_considered_and_hold_the_target() -> None:
    for each in explain(worked=house()):
        considered = [given_in.value for given_in in each.inputs]
        if each.formula == "density_window":
            assert each.value in considered
        elif each.formula == "density_target":
            assert considered[0] <= each.value <= considered[1]


def test_strips_where_there_is_no_lance_and_the_chart_of_a_us_job() -> None:
    """By hand: 14 strips of 2.65 m."""
    us = practice(market=Market.US)
    quick = replace(us, rates=rates_for_strips(us))
    job = worked(wall(facing=Facing.BOARD), attic(label_r=38), practice=quick)
    found = {each.pointer: each for each in explain(worked=job)}
    assert found["/cavities/0/fill_plan/strip_m"].value == pytest.approx(14 * 2.65)
    assert found["/cavities/1/open_blow/bags_by_chart"].formula == "label_chart"
    for each in found.values():
        if is_arithmetic(each):
            assert float(evaluated(each)) == pytest.approx(each.value, rel=1e-9, abs=1e-9), each


def rates_for_strips(profile: Practice) -> Rates:
    """Rates by which strips are set sooner than hoses are laid."""
    methods = profile.rates.methods
    quicker = (replace(each, per_bay_h=0.01) if each.strip_per_m else each for each in methods)
    return replace(profile.rates, methods=tuple(quicker))


def test_what_documents_print_of_a_rule_is_what_its_explanation_says() -> None:
    """Footnotes are collected from the results themselves: rule, source and standing are the same here."""
    job = house()
    said = {trace(each.provenance) for each in explain(worked=job)}
    printed = set(traced(job.found))
    assert len(printed) >= 6
    unexplained = {each for each in printed - said if not advisory(job, each)}
    assert unexplained == set()


def trace(known: Provenance) -> tuple[str, str, str]:
    return known.rule.code, known.source, known.standing


def traced(thing: Any) -> Iterator[tuple[str, str, str]]:
    """Every rule with its source and standing in a result."""
    if is_dataclass(thing):
        if isinstance(thing, Provenance):
            yield trace(thing)
        for field in fields(thing):
            yield from traced(getattr(thing, field.name))
    elif isinstance(thing, tuple):
        for each in thing:
            yield from traced(each)


def advisory(job: Worked, traced_to: tuple[str, str, str]) -> bool:
    """Whether it is a bound that was looked at and set no limit."""
    considered = [
        trace(bound.provenance)
        for cavity in job.found.cavities
        if cavity.density
        for bound in cavity.density.considered
    ]
    return traced_to in considered
