"""A practice profile: the whole of what a firm works by."""

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, ValidationError, fields, validates_schema

from schemas.fields import (
    Day,
    Flag,
    Moment,
    Number,
    Several,
    Text,
    Whole,
    code,
    kilograms,
    label,
    metres,
    millimetres,
    one_of,
    texts,
)
from schemas.materials import Sourced, density
from schemas.posted import Posted
from schemas.shapes import described_by
from schemas.touched import Touched
from schemas.uncertainties import Uncertainties
from schemas.usual import UsualFraming
from schemas.wrong import Said, wrong
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Element, Facing, Fill, Market, Method, Stage
from service.engine.site.learned import FEWEST_JOBS
from service.engine.survey import practice as known
from service.engine.survey import rates as known_rates
from service.engine.survey.practice import LEAST_GUARD_FACTOR


def hours(**options: object) -> Number:
    """Hours of a crew."""
    return Number(least=0, most=100, **options)


@described_by(known.DensityBand)
class DensityBand(Sourced):
    """A band of practice for cavities within its limits."""

    element = one_of(Element, required=True)
    lowest_kg_m3 = density(required=True)
    highest_kg_m3 = density()
    target_kg_m3 = density()
    depth_over_mm = millimetres(least=0)
    depth_up_to_mm = millimetres()
    span_over_m = metres(least=0)
    span_up_to_m = metres()


@described_by(known.Sampling)
class Sampling(Sourced):
    """How many bays are sampled."""

    one_in_bays = Whole(least=1, most=1000, required=True)
    at_least = Whole(least=0, most=1000, required=True)
    last_bay = Flag(required=True)
    at_least_depths = Whole(least=6, most=100)
    core_diameter_mm = millimetres(least=5, most=500)


@described_by(known.Decision)
class Decision(Sourced):
    """The probabilities at which a verdict turns."""

    conforming_from = Number(least=0.5, most=0.9999, required=True)
    non_conforming_to = Number(least=0.0001, most=0.5, required=True)
    guard_factor = Number(least=LEAST_GUARD_FACTOR, most=10)
    non_settling_binds = Flag()
    contradiction_decides = Flag()


@described_by(known_rates.MethodRates)
class MethodRates(Sourced):
    """What one way of filling takes."""

    method = one_of(Method, required=True)
    kg_h = kilograms(least=1, most=10_000, required=True)
    hole_mm = millimetres(least=0, most=500, required=True)
    reach_m = metres(most=50)
    per_bay_h = hours()
    strip_per_m = Number(least=0, most=10)
    settings = texts()


@described_by(known_rates.Rates)
class Rates(Sourced):
    """Hours of a crew, apart from blowing."""

    set_up_h = hours(required=True)
    hole_h = hours(required=True)
    patch_h = hours(required=True)
    move_h = hours(required=True)
    cleaning_h = hours(required=True)
    sample_h = hours(required=True)
    crew = Whole(least=1, most=50, required=True)
    hose_mm = millimetres(least=5, most=500)
    methods = Several(fields.Nested(MethodRates), least=1, most=10, required=True)


@described_by(known.Patching)
class Patching(Sourced):
    """How holes are closed."""

    past_hole_mm = millimetres(least=0, most=500, required=True)
    roll_mm = millimetres(least=10, most=3000, required=True)
    lap_mm = millimetres(least=0, most=500)


@described_by(known.LanceUse)
class LanceUse(Sourced):
    """What working with a lance allows for."""

    held_mm = millimetres(least=0, required=True)
    slit_mm = millimetres(required=True)
    least_reach_mm = millimetres(least=0, required=True)


@described_by(known.Bulge)
class Bulge(Sourced):
    """How far a facing is expected to bulge."""

    facing = one_of(Facing, required=True)
    bulge_mm = millimetres(least=0, most=300, required=True)


@described_by(known.Reading)
class Reading(Posted):
    """A number that a hold point asks for, and within what it is clear."""

    unit = Text(longest=20, required=True)
    least = Number(least=-1000, most=1_000_000, allow_none=True)
    most = Number(least=-1000, most=1_000_000, allow_none=True)

    @validates_schema
    def has_a_limit(self, data: Mapping[str, Any], **_options: Any) -> None:
        """A reading that nothing is held against is a remark."""
        if data.get("least") is None and data.get("most") is None:
            raise wrong(message("schemas.no_limit"), "most")


@described_by(known.HoldPointRule)
class HoldPointRule(Sourced):
    """A condition that must be answered."""

    code = label(required=True)
    stage = one_of(Stage, required=True)
    text = texts(longest=1000, required=True)
    per_cavity = Flag()
    elements = Several(one_of(Element), most=20)
    fills = Several(one_of(Fill), most=20)
    facings = Several(one_of(Facing), most=20)
    markets = Several(one_of(Market), most=20)
    built_before = Whole(least=1000, most=2200)
    safety = Flag()
    single = Flag()
    crews = Flag()
    reading = fields.Nested(Reading)


def ratio() -> Number:
    """A mass over the one that was planned."""
    return Number(least=0.01, most=100, required=True)


@described_by(known.Experience)
class Experience(Sourced):
    """What parts of one element, filled in one way, took of what was planned."""

    element = one_of(Element, required=True)
    method = one_of(Method, required=True)
    median = ratio()
    lower_quartile = ratio()
    upper_quartile = ratio()
    jobs = Whole(least=FEWEST_JOBS, most=1_000_000, required=True)
    parts = Whole(least=FEWEST_JOBS, most=1_000_000_000, required=True)


class AdoptionBody(Schema):
    """From which days, of which parts, and from when on what was learned is to hold."""

    in_force_from = Day(required=True, metadata={"description": "The day that it is in force from."})
    since = Day(data_key="from", required=True, metadata={"description": "The first day, in UTC."})
    until = Day(data_key="to", required=True, metadata={"description": "The last day, in UTC."})
    element = one_of(Element, required=True, metadata={"description": "The part of the envelope."})
    method = one_of(Method, required=True, metadata={"description": "The way of filling."})


@described_by(known.Practice)
class PracticeBody(Sourced):
    """A version of a profile, in force from a day."""

    in_force_from = Day(
        required=True, metadata={"description": "The day that this version is in force from."}
    )
    code = code(required=True)
    name = label(required=True)
    market = one_of(Market, required=True)
    bands = Several(fields.Nested(DensityBand), most=200, required=True)
    sampling = fields.Nested(Sampling, required=True)
    decision = fields.Nested(Decision, required=True)
    rates = fields.Nested(Rates, required=True)
    patching = fields.Nested(Patching, required=True)
    lance_use = fields.Nested(LanceUse)
    uncertainties = fields.Nested(Uncertainties)
    hold_points = Several(fields.Nested(HoldPointRule), least=1, most=200, required=True)
    bulges = Several(fields.Nested(Bulge), most=20)
    waste_percent = Number(least=0, most=50)
    usual = Several(fields.Nested(UsualFraming), most=50)
    experience = Several(fields.Nested(Experience), most=100)
    marker_area_m2 = Number(least=1, most=1000)

    @validates_schema
    def each_method_once(self, data: Mapping[str, Any], **_options: Any) -> None:
        """A plan compares all methods side by side: each needs its rates, and only one row of them."""
        methods = [row["method"] for row in data["rates"]["methods"]]
        if sorted(methods) != sorted(Method):
            raise ValidationError({"rates": {"methods": [Said(message("schemas.row_for_each_method"))]}})
        if data["patching"].get("lap_mm", 0) >= data["patching"]["roll_mm"]:
            raise ValidationError({"patching": {"lap_mm": [Said(message("schemas.not_below_the_roll"))]}})


class Practice(PracticeBody):
    """A version as it is kept."""

    id = fields.UUID(metadata={"description": "Id of the version."})
    created_at = Moment(metadata={"description": "When the version was added."})


class AddedPractice(Practice):
    """A version that was just added."""

    touches = fields.List(
        fields.Nested(Touched),
        metadata={"description": "Drafts that come out otherwise by it; each stays as it is."},
    )


class Practices(Schema):
    """Every version, oldest first."""

    items = fields.List(fields.Nested(Practice), metadata={"description": "Every version, oldest first."})
