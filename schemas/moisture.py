"""The moisture indicator: what diffusion does to an element over a year."""

from marshmallow import Schema, fields


class ProfilePoint(Schema):
    """Temperature and vapour at a boundary."""

    where = fields.String()
    sd_m = fields.Float()
    temperature_c = fields.Float()
    saturation_pa = fields.Float()
    vapour_pa = fields.Float()


class MonthWater(Schema):
    """What a month adds and takes, and what is there at its end."""

    month = fields.Integer()
    condensed_kg_m2 = fields.Float()
    evaporated_kg_m2 = fields.Float()
    water_kg_m2 = fields.Float()


class WetPlace(Schema):
    """Where vapour condenses."""

    where = fields.String()
    peak_kg_m2 = fields.Float()
    left_kg_m2 = fields.Float()


class SurfaceCheck(Schema):
    """The temperature factor of the coldest path and the one that is needed."""

    f_rsi = fields.Float()
    f_rsi_needed = fields.Float(allow_none=True)
    surface_needed_c = fields.Float(allow_none=True)
    critical_month = fields.Integer(allow_none=True)
    mould = fields.Boolean()
    rule = fields.String()
    source = fields.String()
    standing = fields.String()


class CavityMoisture(Schema):
    """An indicator, never proof: `limits` says what it leaves out."""

    label = fields.String()
    condensation = fields.String()
    peak_kg_m2 = fields.Float()
    left_kg_m2 = fields.Float()
    months = fields.List(fields.Nested(MonthWater))
    places = fields.List(fields.Nested(WetPlace))
    surface = fields.Nested(SurfaceCheck)
    profile_month = fields.Integer()
    profile = fields.List(fields.Nested(ProfilePoint))
    inflow_kg_m2_s = fields.Float()
    outflow_kg_m2_s = fields.Float()
    limits = fields.List(fields.String())
    rule = fields.String()
    source = fields.String()
    standing = fields.String()
