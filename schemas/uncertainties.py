"""How far a firm's measures can be off: what it surveys, weighs, reads and samples."""

from marshmallow import fields

from schemas.fields import Number, kilograms, millimetres, share
from schemas.materials import Sourced
from schemas.posted import Posted
from schemas.shapes import described_by
from service.engine.survey import uncertainties as errors


@described_by(errors.SizeErrors)
class SizeErrors(Posted):
    """Half-widths of each size of a cavity."""

    depth_mm = millimetres(least=0.01, most=500, required=True)
    width_mm = millimetres(least=0, most=500, required=True)
    span_mm = millimetres(least=0, most=500, required=True)
    member_mm = millimetres(least=0, most=100, required=True)
    opening_mm = millimetres(least=0, most=500, required=True)


@described_by(errors.SurveyErrors)
class SurveyErrors(Sourced):
    """Of what is surveyed: counted on site, or drawn."""

    counted = fields.Nested(SizeErrors, required=True)
    drawn = fields.Nested(SizeErrors, required=True)
    timber_fraction_u = share(required=True)
    displaced_rel_half = share(required=True)


@described_by(errors.WeighingErrors)
class WeighingErrors(Sourced):
    """Of kilograms: the scale, bags, and what is in machine and hose."""

    scale_half_kg = kilograms(least=0, most=50, required=True)
    bag_over_label_rel = share(required=True)
    bag_spread_rel_u = share(required=True)
    run_empty_half_kg = kilograms(least=0, most=100, required=True)
    hopper_half_kg = kilograms(least=0, most=100, required=True)


@described_by(errors.ReadingErrors)
class ReadingErrors(Sourced):
    """Of what is read at the fill: a facing's bulge, an open blow's thickness."""

    bulge_half_mm = millimetres(least=0, most=100, required=True)
    ruler_half_mm = millimetres(least=0.01, most=100, required=True)
    evenness_u_mm = millimetres(least=0, most=500, required=True)


@described_by(errors.SampleErrors)
class SampleErrors(Sourced):
    """Of samples, and how bays scatter."""

    core_diameter_half_mm = millimetres(least=0.01, most=50, required=True)
    core_length_half_mm = millimetres(least=0, most=200, required=True)
    core_disturbance_rel_u = share(required=True)
    block_side_half_mm = millimetres(least=0.01, most=100, required=True)
    block_disturbance_rel_u = share(required=True)
    box_volume_rel_half = Number(least=0.0001, most=1, required=True)
    mass_half_g = Number(least=0, most=1000, required=True)
    between_bays_u_kg_m3 = Number(least=0, most=50, required=True)


@described_by(errors.Uncertainties)
class Uncertainties(Posted):
    """Groups that a firm declares whole; in the place of the others stand estimates, for takeoffs only."""

    survey = fields.Nested(SurveyErrors)
    weighing = fields.Nested(WeighingErrors)
    reading = fields.Nested(ReadingErrors)
    sample = fields.Nested(SampleErrors)
