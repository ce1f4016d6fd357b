"""Every formula of the engine is checked against something from outside, by a test that says what."""

import ast
from dataclasses import fields, is_dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from service.documents.wording.sentences import in_words
from service.engine.ground.formula import Formula
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Facing, Market, Method
from service.engine.moisture.explain_moisture import explain_moisture
from service.engine.moisture.moisture import moisture
from service.engine.plan.explain import explain
from tests import site
from tests.builders import (
    attic,
    board,
    climate,
    fraction,
    layer,
    material,
    opening,
    practice,
    stud_wall,
    wall,
    worked,
)
from tests.sources import modules

ROOT = Path(__file__).parents[2]
MODULES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for path in modules("service/engine")
    if path.stem != "__init__"
)

ENGINE, REFERENCE = "tests/service/engine/", "tests/reference/test_"

# By code: the test, and what it holds the formula against.
CHECKS = {
    "bags": (f"{ENGINE}plan/test_quantities.py::test_bags", "a self-builder's published diary"),
    "blowing_hours": (f"{ENGINE}plan/test_takeoff.py::test_a_house_by_hand", "a house worked by hand"),
    "bulge_volume": (
        f"{ENGINE}plan/test_quantities.py::test_a_bulge_lies_midway_between_a_parabola_held_along_two_sides_and_on_four",
        "Simpson's rule, exact for a parabola",
    ),
    "guard_band": (f"{ENGINE}plan/test_guard.py::test_more_than_the_least_is_planned", "arithmetic by hand"),
    "first_check": (
        f"{ENGINE}plan/test_guard.py::test_the_chance_that_both_conform_at_the_first_check_is_simulated_again",
        "drawn values: one in four at 1.645, nine in ten at 3.3",
    ),
    "bridged_resistance": (
        f"{ENGINE}heat/test_thermal.py::test_a_layer_beside_the_cavity_may_be_bridged_like_a_leaf_of_it",
        "the same layer as a leaf of the cavity, by the method's published limits",
    ),
    "fill_course": (
        f"{ENGINE}heat/test_courses.py::test_courses_stand_from_the_outside_in_and_add_up",
        "the sum of all courses, by hand",
    ),
    "given_resistance": (
        f"{ENGINE}heat/test_courses.py::test_courses_stand_from_the_outside_in_and_add_up",
        "the given figure itself",
    ),
    "layer_resistance": (
        f"{ENGINE}heat/test_courses.py::test_courses_stand_from_the_outside_in_and_add_up",
        "the library ht",
    ),
    "cavity_hours": (
        f"{ENGINE}plan/test_hours.py::test_a_small_laboratory_blower",
        "16 CFR 1209.4; minutes for 25 kg of common practice",
    ),
    "combination": (
        f"{ENGINE}site/test_conformity.py::test_combination_agrees_with_weighted_least_squares",
        "numpy's weighted least squares",
    ),
    "compartment_volume": (
        f"{ENGINE}geometry/test_compartments.py::test_one_leaf_has_the_compartments_and_volumes_that_flooding_finds",
        "a cavity of cubes, flooded",
    ),
    "conformity": (
        f"{ENGINE}site/test_conformity.py::test_a_window_agrees_with_the_standard_librarys_normal_distribution",
        "Python's statistics, printed tables, drawn values, JCGM 106's speed limit",
    ),
    "decision_rule": (
        f"{ENGINE}site/test_conformity.py::test_a_verdict_turns_at_the_thresholds_of_the_decision_rule",
        "printed quantiles of the normal distribution",
    ),
    "dense_mass": (
        f"{ENGINE}plan/test_quantities.py::test_three_bays_of_a_two_by_four_wall_take_about_a_bag_of_thirty_pounds",
        "a handbook's bag for three bays",
    ),
    "density_target": (
        f"{ENGINE}plan/test_density.py::test_us_dense_pack_is_at_least_three_and_a_half_pounds",
        "NREL Standard Work Specifications 4.1005.6",
    ),
    "density_window": (
        f"{ENGINE}plan/test_density.py::test_a_window_is_the_strictest_of_its_binding_rules_and_holds_its_target",
        "brute force over all rules; NREL Standard Work Specifications 4.1005.6",
    ),
    "dew_point": (
        f"{ENGINE}moisture/test_vapour.py::test_dew_point_agrees_with_psychrolib",
        "PsychroLib (ASHRAE)",
    ),
    "fill_resistance": (
        f"{REFERENCE}u_values.py::test_timber_framed_wall_of_the_scottish_standards",
        "Scottish building standards, example 6.B.2",
    ),
    "fraction_area": (
        f"{ENGINE}geometry/test_geometry.py::test_trim_is_apart_from_a_timber_fraction",
        "arithmetic by hand",
    ),
    "gross": (f"{ENGINE}geometry/test_geometry.py::test_worked_values", "four cavities worked by hand"),
    "holes": (
        f"{ENGINE}plan/test_holes.py::test_a_blocked_bay_has_a_hole_in_its_top_and_in_its_lower_third",
        "Utah weatherization field guide",
    ),
    "insulated_area": (
        f"{ENGINE}geometry/test_geometry.py::test_net_area_of_the_cavity_is_less_openings_alone",
        "arithmetic by hand",
    ),
    "clear_area": (
        f"{ENGINE}geometry/test_plane.py::test_areas_and_volumes_are_those_of_a_polygon_library",
        "the polygon library shapely",
    ),
    "open_area": (
        f"{ENGINE}geometry/test_plane.py::test_areas_and_volumes_are_those_of_a_polygon_library",
        "the polygon library shapely",
    ),
    "interstitial_condensation": (
        f"{REFERENCE}condensation.py::"
        "test_a_flat_roof_under_a_tight_sheet_is_wet_in_december_and_dry_in_january",
        "a published humidity report after PN-EN ISO 13788",
    ),
    "job_hours": (
        f"{ENGINE}plan/test_hours.py::test_set_up_and_cleaning_come_once_for_a_job",
        "arithmetic by hand",
    ),
    "label_chart": (
        f"{ENGINE}plan/test_openblow.py::test_the_label_chart_has_the_last_word",
        "16 CFR 460.12 and 460.17: the row's own figures",
    ),
    "label_mass": (
        f"{ENGINE}site/test_bag_mass.py::test_without_a_weighed_bag_the_label_stands_as_a_minimum",
        "JCGM 100, 4.3.7, by hand",
    ),
    "label_resistance": (
        f"{ENGINE}heat/test_thermal.py::test_an_attic_takes_its_labels_resistance_for_the_whole_fill",
        "ht's conversion; NIST SP 811",
    ),
    "lance_reach": (
        f"{ENGINE}plan/test_lances.py::test_reach_agrees_with_a_tube_pushed_in_by_small_steps",
        "a tube pushed in step by step; Pythagoras",
    ),
    "lower_limit": (
        f"{REFERENCE}heat_conduction.py::test_conduction_lies_between_the_limits_and_within_the_stated_error",
        "heat conduction in three dimensions; Scottish building standards, examples 6.B",
    ),
    "markers": (f"{ENGINE}plan/test_openblow.py::test_markers", "IECC R303.1.1.1"),
    "mass_balance": (
        f"{ENGINE}site/test_mass_balance.py::test_worked_example_agrees_with_the_uncertainties_library",
        "the package uncertainties",
    ),
    "mass_per_area": (
        f"{ENGINE}site/test_open_finding.py::test_mass_per_area_is_held_against_the_mass_that_is_required",
        "arithmetic by hand",
    ),
    "mean_thickness": (
        f"{ENGINE}site/test_open_finding.py::test_thickness_is_the_mean_of_the_depths",
        "scipy's t, by hand",
    ),
    "members": (
        f"{ENGINE}geometry/test_bays.py::test_members_stand_at_both_edges",
        "set out by hand on a rule",
    ),
    "net_volume": (
        f"{ENGINE}geometry/test_geometry.py::test_worked_values",
        "four cavities worked by hand; a handbook's bag for three bays",
    ),
    "non_settling": (
        f"{ENGINE}plan/test_bounds.py::test_non_settling_density",
        "SBi's two published points",
    ),
    "normalised_error": (
        f"{ENGINE}site/test_conformity.py::test_normalised_error_by_hand",
        "arithmetic by hand",
    ),
    "open_blow": (
        f"{ENGINE}plan/test_openblow.py::test_settling_leaves_mass_per_area_alone",
        "arithmetic by hand",
    ),
    "patch": (
        f"{ENGINE}plan/test_holes.py::test_a_patch_reaches_50_mm_past_the_hole_all_round",
        "common practice",
    ),
    "price": (
        f"{ENGINE}plan/test_pricing.py::test_published_invoice_with_one_line",
        "a published EN 16931 invoice",
    ),
    "propagation": (
        f"{ENGINE}ground/test_uncertainty.py::test_sums_and_quotients_agree_with_the_uncertainties_library",
        "the package uncertainties",
    ),
    "rectangular": (
        f"{ENGINE}ground/test_uncertainty.py::test_half_a_width_is_divided_by_the_root_of_three",
        "JCGM 100, 4.3.7",
    ),
    "chain_of_fills": (
        f"{ENGINE}site/test_chains.py::test_a_machine_fed_whole_bags_holds_what_the_rule_says",
        "a machine fed with whole bags, played",
    ),
    "in_machine": (
        f"{ENGINE}plan/test_kilograms.py::test_what_is_in_the_machine",
        "JCGM 100, 4.3.7, by hand",
    ),
    "installed_open": (
        f"{ENGINE}site/test_open_finding.py::"
        "test_its_density_as_blown_takes_what_was_measured_and_nothing_else",
        "arithmetic by hand",
    ),
    "part_of_all": (
        f"{ENGINE}ground/test_uncertainty.py::test_the_mean_of_some_of_all_covers_as_it_should",
        "finite populations, drawn",
    ),
    "pooled_scatter": (
        f"{ENGINE}ground/test_uncertainty.py::test_scatter_is_pooled_by_degrees_of_freedom",
        "variances by hand",
    ),
    "spill_shared_out": (
        f"{ENGINE}site/test_spill.py::test_spill_is_shared_out_by_the_kilograms_of_the_day",
        "arithmetic by hand; coverage by played sites",
    ),
    "whereabouts": (
        f"{ENGINE}site/test_stock.py::test_what_became_of_what_was_emptied",
        "arithmetic by hand",
    ),
    "proof": (
        f"{ENGINE}plan/test_proof.py::test_a_proof_suffices_just_where_3_3_u_fit_inside_both_limits",
        "limits moved to either side of 3.3 u",
    ),
    "sample_density": (
        f"{ENGINE}site/test_samples.py::test_a_core_agrees_with_the_uncertainties_library",
        "the package uncertainties; a net cubic foot of 3.5 lb",
    ),
    "sampling_plan": (
        f"{ENGINE}plan/test_sampling.py::test_one_bay_in_five_and_at_least_two_are_sampled",
        "common practice, counted by hand",
    ),
    "saturation_pressure": (
        f"{ENGINE}moisture/test_vapour.py::test_saturation_over_water_agrees_with_psychrolib",
        "PsychroLib (ASHRAE); a published table",
    ),
    "stock": (
        f"{ENGINE}site/test_stock.py::test_what_came_is_what_was_emptied_left_over_and_sent_back",
        "arithmetic by hand",
    ),
    "strip": (
        f"{ENGINE}plan/test_filling.py::test_without_a_lance_the_quicker_of_hoses_and_strips",
        "arithmetic by hand",
    ),
    "surface_resistance": (
        f"{ENGINE}heat/test_surfaces.py::test_resistances_of_each_element",
        "ISO 6946's values as BR 443 quotes them",
    ),
    "tape": (
        f"{ENGINE}plan/test_holes.py::test_a_patch_wider_than_the_roll_is_made_of_strips_that_lap",
        "arithmetic by hand",
    ),
    "temperature_factor": (
        f"{ENGINE}moisture/test_mould.py::test_factor_needed_in_each_month_of_a_polish_year",
        "a published humidity report after PN-EN ISO 13788",
    ),
    "timber_percent": (
        f"{ENGINE}geometry/test_geometry.py::test_timber_of_a_us_wall_is_near_the_code_value",
        "WAC 51-11-1005.2; four cavities worked by hand",
    ),
    "total": (f"{ENGINE}plan/test_takeoff.py::test_a_house_by_hand", "a house worked by hand"),
    "type_a": (
        f"{ENGINE}ground/test_uncertainty.py::test_student_t_agrees_with_scipy",
        "scipy, printed tables, drawn readings",
    ),
    "u_value": (
        f"{REFERENCE}u_values.py::test_cavity_wall_with_two_bridged_layers_of_the_scottish_standards",
        "Scottish building standards, examples 6.B; heat conduction in three dimensions",
    ),
    "u_value_corrections": (
        f"{ENGINE}heat/test_corrections.py::test_fasteners_through_the_fill",
        "arithmetic by hand, constants second-hand",
    ),
    "u_value_error": (
        f"{REFERENCE}heat_conduction.py::test_conduction_lies_between_the_limits_and_within_the_stated_error",
        "heat conduction in three dimensions",
    ),
    "upper_limit": (
        f"{ENGINE}heat/test_paths.py::test_upper_limit_of_us_parallel_paths",
        "WAC 51-11-1005.2's parallel paths; Scottish building standards, examples 6.B",
    ),
    "vapour_flow": (
        f"{ENGINE}moisture/test_diffusion.py::test_the_string_is_what_relaxation_converges_to",
        "steady diffusion by relaxation, node by node",
    ),
}


def formulas() -> list[Formula]:
    """Every formula that a module of the engine states."""
    modules = map(import_module, MODULES)
    things = {id(thing): thing for module in modules for thing in vars(module).values()}
    return [thing for thing in things.values() if isinstance(thing, Formula)]


@cache
def names_in(path: str) -> set[str]:
    """The names of the tests in a file."""
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    return {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


def test_every_formula_has_a_check_and_a_code_of_its_own() -> None:
    codes = [formula.code for formula in formulas()]
    assert len(codes) == len(set(codes))
    assert set(codes) == set(CHECKS)


@pytest.mark.parametrize(("where", "against"), CHECKS.values(), ids=CHECKS)
def test_the_check_is_there(where: str, against: str) -> None:
    path, _, name = where.partition("::")
    assert name in names_in(path)
    assert against


def test_every_formula_reaches_an_answer() -> None:
    """In a takeoff's explanations, or beside a figure or among the rules of an assessment."""
    window = opening(left_m=1.0, sill_m=0.9)
    sheet, us = material(), practice(market=Market.US)
    sheathed = stud_wall(
        inside=(board(),),
        outside=(board(conductivity_w_mk=None, resistance_m2k_w=0.12), board(timber_fraction=0.1)),
    )
    job = worked(
        *(wall(facing=Facing.NETTING), wall(label="W9", facing=Facing.BOARD, openings=(window,)), sheathed),
        *(stud_wall(label="W3", layers=(layer(140, fraction()),), air_gap_level=2), attic(label_r=38)),
        practice=us,
        travel_km=10,
    )
    lined = stud_wall(inside=(board(),), outside=(board(),))
    dry = worked(lined)
    damp = (moisture(cavity=lined, material=sheet, climate=climate(), working=dry.workings[0]),)
    codes = {each.formula for each in explain(worked=job)}
    codes |= {each.formula for each in explain(worked=worked(attic()))}
    codes |= {each.formula for each in explain_moisture(worked=dry, found=damp)}
    netting = site.planned(wall(facing=Facing.NETTING))
    assessed = site.assessed(
        *(netting, site.planned(attic())),
        entries=(
            site.fill(bay=1, mass_kg=520),
            site.fill("A1", bags=65, method=Method.OPEN_BLOW),
            site.core(80),
            site.core(80, bay=15),
            site.depth_check(360, 361, minute=80),
            *site.stock(100, 1, 20),
            site.fill(bay=2, mass_kg=20, minute=70),
            site.fill("A1", bags=2, method=Method.OPEN_BLOW, minute=75),
        ),
    )
    weighed = site.assessed(netting, entries=[site.bag_check(12.5, 12.6)])
    lone = stated((job.found, assessed, weighed))
    assert {each.code for each in formulas()} - codes - lone == set()


def stated(thing: Any) -> set[str]:
    """The code of every rule that a result names."""
    if is_dataclass(thing):
        found = {thing.rule.code.removeprefix("formula.")} if hasattr(thing, "rule") else set()
        return found.union(*(stated(getattr(thing, field.name)) for field in fields(thing)))
    return set().union(*map(stated, thing)) if isinstance(thing, tuple) else set()


def test_every_formula_says_what_it_is_and_where_it_comes_from() -> None:
    for formula in formulas():
        assert all((formula.code, formula.expression, formula.source, formula.standing))
        assert in_words(message(f"formula.{formula.code}"))
