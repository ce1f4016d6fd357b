"""An assessment: what a job's ledger shows, and what still stands in the way of a certificate."""

from marshmallow import Schema, fields

from schemas.concessions import Concession
from schemas.takeoffs import HoldPoint, Rule, Traced


class Contribution(Schema):
    """What one input adds to the standard uncertainty."""

    name = fields.String()
    u_kg_m3 = fields.Float()


class Achieved(Traced):
    """A density as built against its window; expanded uncertainty with k = 2."""

    density_kg_m3 = fields.Float()
    u_kg_m3 = fields.Float()
    expanded_u_kg_m3 = fields.Float()
    budget = fields.List(fields.Nested(Contribution))
    how = fields.String()
    probability = fields.Float()
    highest_probability = fields.Float()
    verdict = fields.String()


class SampleFinding(Traced):
    """What one sample shows."""

    entry = fields.String()
    cavity = fields.String()
    bay = fields.Integer()
    shape = fields.String()
    density_kg_m3 = fields.Float()
    u_kg_m3 = fields.Float()
    expanded_u_kg_m3 = fields.Float()
    probability = fields.Float()
    verdict = fields.String()
    feel = fields.String(allow_none=True)
    superseded = fields.Boolean()
    recorded_at = fields.String()
    recorded_by = fields.String()


class BayFinding(Schema):
    """What the samples of one bay show together."""

    bay = fields.Integer()
    samples = fields.Integer()
    density_kg_m3 = fields.Float()
    u_kg_m3 = fields.Float()
    expanded_u_kg_m3 = fields.Float()
    probability = fields.Float()
    highest_probability = fields.Float()
    gives_way = fields.Boolean()
    verdict = fields.String()


class CompartmentFinding(Schema):
    """The bays of one mass balance."""

    label = fields.String()
    cavity = fields.String()
    bays = fields.List(fields.Integer())
    shared = fields.Boolean()
    net_volume_m3 = fields.Float()
    expanded_u_net_volume_m3 = fields.Float()
    bulge_mm = fields.Float()
    bulge_measured = fields.Boolean()
    bulge_volume_m3 = fields.Float()
    mass_kg = fields.Float(allow_none=True)
    expanded_u_mass_kg = fields.Float(allow_none=True)
    mass_balance = fields.Nested(Achieved, allow_none=True)
    by_samples = fields.Nested(Achieved, allow_none=True)
    samples = fields.List(fields.Nested(SampleFinding))
    bay_findings = fields.List(fields.Nested(BayFinding))
    samples_needed = fields.Integer()
    sampled = fields.Integer()
    last_bay = fields.Integer(allow_none=True)
    last_bay_sampled = fields.Boolean()
    normalised_error = fields.Float(allow_none=True)
    achieved = fields.Nested(Achieved, allow_none=True)
    verdict = fields.String(allow_none=True)
    note = fields.String()
    unfilled = fields.List(fields.Integer())


class MassPerArea(Traced):
    """Mass per area of an open blow."""

    mass_per_area_kg_m2 = fields.Float()
    u_kg_m2 = fields.Float()
    expanded_u_kg_m2 = fields.Float()
    required_kg_m2 = fields.Float()
    probability = fields.Float()
    verdict = fields.String()


class Thickness(Traced):
    """Thickness of an open blow as blown."""

    thickness_mm = fields.Float()
    u_mm = fields.Float()
    expanded_u_mm = fields.Float()
    required_mm = fields.Float()
    settled_mm = fields.Float()
    lowest_mm = fields.Float()
    highest_mm = fields.Float()
    probability = fields.Float()
    verdict = fields.String()


class OpenBlowFinding(Schema):
    """An open blow as it was found."""

    area_m2 = fields.Float()
    expanded_u_area_m2 = fields.Float()
    mass_per_area = fields.Nested(MassPerArea, allow_none=True)
    thickness = fields.Nested(Thickness, allow_none=True)
    depths = fields.Integer()
    depths_needed = fields.Integer()
    markers = fields.Integer(allow_none=True)
    markers_needed = fields.Integer()
    verdict = fields.String(allow_none=True)


class CavityFinding(Schema):
    """A cavity by its own entries."""

    label = fields.String()
    mass_kg = fields.Float(allow_none=True)
    expanded_u_mass_kg = fields.Float(allow_none=True)
    bags = fields.Float(allow_none=True)
    compartments = fields.List(fields.Nested(CompartmentFinding))
    open_blow = fields.Nested(OpenBlowFinding, allow_none=True)
    verdict = fields.String(allow_none=True)


class BagMass(Traced):
    """The mean net mass of a bag and how it is known."""

    mean_kg = fields.Float()
    u_kg = fields.Float()
    expanded_u_kg = fields.Float()
    weighed = fields.Integer()
    spread_kg = fields.Float(allow_none=True)
    note = fields.String()


class StockFinding(Traced):
    """Delivered against blown, left over and reclaimed."""

    delivered_bags = fields.Float()
    delivered_kg = fields.Float()
    expanded_u_delivered_kg = fields.Float()
    blown_kg = fields.Float()
    expanded_u_blown_kg = fields.Float()
    left_over_bags = fields.Float()
    left_over_kg = fields.Float()
    expanded_u_left_over_kg = fields.Float()
    reclaimed_kg = fields.Float()
    expanded_u_reclaimed_kg = fields.Float()
    difference_kg = fields.Float()
    expanded_u_difference_kg = fields.Float()
    reconciled = fields.Boolean()


class HoldPointFinding(HoldPoint):
    """A hold point and its last answer."""

    answer = fields.String(allow_none=True)
    reading = fields.String(allow_none=True)
    remark = fields.String(allow_none=True)
    recorded_at = fields.String(allow_none=True)
    recorded_by = fields.String(allow_none=True)
    first_answered_at = fields.String(allow_none=True)
    first_filled_at = fields.String(allow_none=True)
    late = fields.Boolean()


class PatchFound(Schema):
    """The last patch over a penetration."""

    entry = fields.String()
    recorded_at = fields.String()
    recorded_by = fields.String()
    tag = fields.String()
    width_mm = fields.Float()
    height_mm = fields.Float()
    tape = fields.String()
    wiped = fields.Boolean()
    rubbed_down = fields.Boolean()
    photo_sha256 = fields.String(allow_none=True)


class PenetrationFinding(Schema):
    """A penetration and its patch."""

    tag = fields.String()
    cavity = fields.String()
    bay = fields.Integer(allow_none=True)
    purpose = fields.String()
    width_mm = fields.Float()
    height_mm = fields.Float()
    recorded_at = fields.String()
    recorded_by = fields.String()
    patch = fields.Nested(PatchFound, allow_none=True)


class Condition(Schema):
    """Something that stands in the way, and what would clear it."""

    code = fields.String()
    cavity = fields.String(allow_none=True)
    subject = fields.String()
    detail = fields.String()
    remedy = fields.String()
    waivable = fields.Boolean()


class Assessment(Schema):
    """What the ledger shows; `unmet` are the conditions that no concession covers."""

    cavities = fields.List(fields.Nested(CavityFinding))
    mass_kg = fields.Float()
    expanded_u_mass_kg = fields.Float()
    bag_mass = fields.Nested(BagMass)
    stock = fields.Nested(StockFinding, allow_none=True)
    hold_points = fields.List(fields.Nested(HoldPointFinding))
    penetrations = fields.List(fields.Nested(PenetrationFinding))
    rules = fields.List(fields.Nested(Rule))
    conditions = fields.List(fields.Nested(Condition))
    concessions = fields.List(fields.Nested(Concession))
    unmet = fields.List(fields.Nested(Condition))
    ready = fields.Boolean()
