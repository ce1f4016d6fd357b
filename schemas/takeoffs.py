"""A takeoff: everything that follows from a building."""

from marshmallow import Schema, fields

from schemas.cavities import Building, Site
from schemas.explanations import Explanation
from schemas.fields import Amount, Flag, Number, Several
from schemas.materials import Sourced
from schemas.moisture import CavityMoisture


class MonthClimate(Schema):
    """Means of one month on both sides of an element."""

    inside_c = Number(least=-40, most=50, required=True)
    inside_rh_percent = Number(least=0.1, most=100, required=True)
    outside_c = Number(least=-40, most=50, required=True)
    outside_rh_percent = Number(least=0.1, most=100, required=True)


class Climate(Sourced):
    """A year's climate, January first."""

    months = Several(fields.Nested(MonthClimate), least=12, most=12, required=True)


class TakeoffBody(Building):
    """A building, priced but not kept; the site is needed only for the age of the house.

    `explain` asks for the working behind every figure, `what_if` for what another
    density would take, `climate` for the moisture indicator.
    """

    site = fields.Nested(Site)
    explain = Flag()
    what_if = Flag()
    climate = fields.Nested(Climate)


class Traced(Schema):
    """Which rule a figure follows, where that comes from, and how well it is known."""

    rule = fields.String()
    source = fields.String()
    standing = fields.String()


class Rule(Traced):
    """A rule with its formula: `formula` is its code, `expression` what it says."""

    formula = fields.String()
    expression = fields.String()


class LayerGeometry(Schema):
    """One layer: its areas, timber and bays."""

    depth_mm = fields.Float()
    gross_area_m2 = fields.Float()
    net_area_m2 = fields.Float()
    timber_fraction = fields.Float()
    members = fields.Integer()
    bay_widths_m = fields.List(fields.Float())


class Geometry(Schema):
    """Areas and volumes of all identical cavities, and the bays of one."""

    gross_volume_m3 = fields.Float()
    net_volume_m3 = fields.Float()
    gross_area_m2 = fields.Float()
    net_area_m2 = fields.Float()
    timber_percent = fields.Float()
    depth_mm = fields.Float()
    bays = fields.Integer()
    bays_known = fields.Boolean()
    bay_widths_m = fields.List(fields.Float())
    layers = fields.List(fields.Nested(LayerGeometry))


class Compartment(Schema):
    """The unit of mass balance: a space in which blown fill can move.

    Where an opening has no place it is the whole cavity, even if its bays are closed off.
    """

    label = fields.String()
    bays = fields.List(fields.Integer())
    net_volume_m3 = fields.Float()
    shared = fields.Boolean(metadata={"description": "it has several bays, which are balanced together"})
    spills = fields.List(
        fields.List(fields.Integer()),
        metadata={"description": "bays that fill moves between, in groups; none where all are closed off"},
    )


class Bound(Traced):
    """A density and the rule that asks for it; advice does not bind."""

    value = fields.Float(metadata={"description": "kg/m3"})
    extrapolated = fields.Boolean()
    binds = fields.Boolean()


class Density(Traced):
    """The window of a dense fill."""

    lowest_kg_m3 = fields.Nested(Bound)
    target_kg_m3 = fields.Nested(Bound)
    highest_kg_m3 = fields.Nested(Bound)
    considered = fields.List(fields.Nested(Bound))
    cautions = fields.List(fields.String())


class OpenBlow(Traced):
    """Thicknesses, mass and markers of an open blow."""

    settled_mm = fields.Float()
    initial_mm = fields.Float()
    settlement_percent = fields.Float()
    settled_kg_m3 = fields.Float()
    initial_kg_m3 = fields.Float()
    mass_per_area_kg_m2 = fields.Float()
    mass_kg = fields.Float()
    bags_by_chart = fields.Integer(allow_none=True)
    label_r = fields.Float(allow_none=True)
    markers = fields.Integer()
    area_m2 = fields.Float()


class Hole(Schema):
    """An entry hole of one cavity, measured from its lower left corner."""

    number = fields.Integer()
    bay = fields.Integer()
    part = fields.Integer()
    x_m = fields.Float()
    height_m = fields.Float()
    width_mm = fields.Float()
    height_mm = fields.Float()
    note = fields.String()


class Step(Schema):
    """One bay in its turn."""

    bay = fields.Integer()
    note = fields.String()
    recompress = fields.Boolean()


class Option(Schema):
    """One method: whether it works, why, and what it takes."""

    method = fields.String()
    works = fields.Boolean()
    reason = fields.String()
    hours = fields.Float(allow_none=True)
    holes = fields.Integer(allow_none=True)
    lance = fields.String(allow_none=True)
    strip_m = fields.Float()
    tape_m = fields.Float()


class FillPlan(Schema):
    """What a crew fills a cavity by."""

    method = fields.String()
    reason = fields.String()
    alternatives = fields.List(fields.Nested(Option))
    holes = fields.Integer()
    hole_list = fields.List(fields.Nested(Hole))
    sequence = fields.List(fields.Nested(Step))
    lance = fields.String(allow_none=True)
    lance_reach_m = fields.Float(allow_none=True)
    hours = fields.Float()
    patches = fields.Integer()
    tape_m = fields.Float()
    strip_m = fields.Float()
    settings = fields.String()
    patch_width_mm = fields.Float()
    patch_height_mm = fields.Float()
    notes = fields.List(fields.String())


class Course(Schema):
    """What a course of the element adds to its resistance."""

    kind = fields.String(metadata={"description": "outer_surface, layer, fill or inner_surface"})
    name = fields.String()
    resistance_m2k_w = fields.Float()


class Thermal(Traced):
    """Thermal transmittance by the combined method; no U-value outside the method's range."""

    u_value_w_m2k = fields.Float(allow_none=True)
    r_total = fields.Float(allow_none=True)
    r_upper = fields.Float()
    r_lower = fields.Float()
    r_fill = fields.Float()
    label_r = fields.Float(
        allow_none=True, metadata={"description": "ft2 h F/Btu as the maker's chart prints it, else null"}
    )
    r_fill_by = fields.Nested(Rule)
    ratio = fields.Float()
    error_percent = fields.Float(allow_none=True)
    rsi = fields.Float()
    rse = fields.Float()
    correction_w_m2k = fields.Float()
    courses = fields.List(
        fields.Nested(Course),
        metadata={"description": "from the outside in; they add up to r_total without the correction"},
    )
    notes = fields.List(fields.String())


class CavityTakeoff(Schema):
    """One cavity worked out."""

    label = fields.String()
    element = fields.String()
    count = fields.Integer()
    geometry = fields.Nested(Geometry)
    compartments = fields.List(fields.Nested(Compartment))
    density = fields.Nested(Density, allow_none=True)
    open_blow = fields.Nested(OpenBlow, allow_none=True)
    mass_kg = fields.Float()
    fill_plan = fields.Nested(FillPlan)
    samples = fields.Integer()
    thermal = fields.Nested(Thermal)
    cautions = fields.List(fields.String())


class PointReading(Schema):
    """A number that a hold point asks for, and within what it is clear."""

    unit = fields.String()
    least = fields.Float(allow_none=True)
    most = fields.Float(allow_none=True)


class HoldPoint(Schema):
    """A condition to answer before or after filling."""

    code = fields.String()
    stage = fields.String()
    text = fields.String()
    cavity = fields.String(allow_none=True)
    safety = fields.Boolean()
    single = fields.Boolean()
    reading = fields.Nested(PointReading, allow_none=True)
    source = fields.String()
    standing = fields.String()


class PriceLine(Schema):
    """A line of the price."""

    code = fields.String()
    text = fields.String()
    quantity = Amount()
    unit = fields.String()
    unit_price = Amount()
    amount = Amount()


class Price(Traced):
    """The price by its lines."""

    lines = fields.List(fields.Nested(PriceLine))
    net = Amount()
    tax_percent = Amount()
    tax = Amount()
    total = Amount()
    currency = fields.String()
    price_list = fields.String()


class Takeoff(Schema):
    """A building worked out."""

    cavities = fields.List(fields.Nested(CavityTakeoff))
    mass_kg = fields.Float()
    bags = fields.Integer()
    holes = fields.Integer()
    patches = fields.Integer()
    tape_m = fields.Float()
    strip_m = fields.Float()
    samples = fields.Integer()
    crew_hours = fields.Float()
    blowing_hours = fields.Float()
    hold_points = fields.List(fields.Nested(HoldPoint))
    price = fields.Nested(Price)
    engine = fields.String()


class WhatIf(Schema):
    """The job, if this cavity were filled to another density."""

    target_kg_m3 = fields.Float()
    mass_kg = fields.Float()
    bags = fields.Integer()
    hours = fields.Float()
    net = Amount()


class CavityWhatIf(Schema):
    """What other densities in a cavity's window would take."""

    label = fields.String()
    steps = fields.List(fields.Nested(WhatIf))


class TakeoffAnswer(Takeoff):
    """A building worked out, with what else was asked for."""

    explanations = fields.List(fields.Nested(Explanation))
    what_if = fields.List(fields.Nested(CavityWhatIf))
    moisture = fields.List(fields.Nested(CavityMoisture))
