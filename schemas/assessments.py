"""An assessment: what a job's ledger shows, and what still stands in the way of a certificate."""

from marshmallow import Schema, fields

from schemas.answers import answer
from schemas.concessions import Concession
from service.engine.ground.formula import Rule
from service.engine.site.as_found import FoundFinding
from service.engine.site.bag_mass import BagMass
from service.engine.site.condition import Condition
from service.engine.site.findings import CavityFinding
from service.engine.site.hold_point_findings import HoldPointFinding
from service.engine.site.holes_made import HolesFinding
from service.engine.site.stock import StockFinding


class Assessment(Schema):
    """What the ledger shows; `unmet` are the conditions that no concession covers."""

    cavities = fields.List(fields.Nested(answer(CavityFinding)))
    mass_kg = fields.Float()
    expanded_u_mass_kg = fields.Float()
    bag_mass = fields.Nested(answer(BagMass))
    stock = fields.Nested(answer(StockFinding), allow_none=True)
    hold_points = fields.List(fields.Nested(answer(HoldPointFinding)))
    as_found = fields.List(fields.Nested(answer(FoundFinding)))
    holes = fields.List(fields.Nested(answer(HolesFinding)))
    rules = fields.List(fields.Nested(answer(Rule)))
    conditions = fields.List(fields.Nested(answer(Condition)))
    concessions = fields.List(fields.Nested(Concession))
    unmet = fields.List(fields.Nested(answer(Condition)))
    ready = fields.Boolean()
