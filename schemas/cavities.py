"""A cavity as it is posted: shape, ranges and units. What it means is the engine's to say."""

from marshmallow import fields

from schemas.fields import (
    Flag,
    Mail,
    Number,
    Several,
    Text,
    Whole,
    iso_code,
    label,
    metres,
    millimetres,
    one_of,
)
from schemas.posted import Posted
from schemas.shapes import described_by
from service.engine.ground.vocabulary import Element, Facing, Fill, Runs
from service.engine.survey import cavity as survey


@described_by(survey.Framing)
class Framing(Posted):
    """Timber in a layer: members at a spacing, or a fraction of timber."""

    member_mm = millimetres(most=1000)
    spacing_mm = millimetres()
    conductivity_w_mk = Number(least=0.01, most=5)
    runs = one_of(Runs)
    plates_mm = millimetres(least=0)
    blocking_rows = Whole(least=0, most=100)
    blocking_mm = millimetres(least=0, most=1000)
    timber_fraction = Number(least=0, most=0.95)
    timber_fraction_u = Number(least=0, most=0.5)


@described_by(survey.Layer)
class Layer(Posted):
    """One layer of the cavity's depth."""

    depth_mm = millimetres(most=2000, required=True)
    framing = fields.Nested(Framing)


@described_by(survey.Opening)
class Opening(Posted):
    """A window, door or hatch; `left_m` and `sill_m` place a single one."""

    width_m = metres(most=100, required=True)
    height_m = metres(most=100, required=True)
    count = Whole(least=1, most=1000)
    trim_mm = millimetres(least=0, most=500)
    left_m = metres(least=0)
    sill_m = metres(least=0)


@described_by(survey.BuildUpLayer)
class BuildUpLayer(Posted):
    """A layer beside the cavity, for heat and vapour."""

    name = label(required=True)
    thickness_mm = millimetres(least=0.01, most=2000)
    conductivity_w_mk = Number(least=0.001, most=500)
    resistance_m2k_w = Number(least=0.001, most=100)
    mu = Number(least=0.1, most=10_000_000)
    sd_m = Number(least=0.0001, most=100_000)
    ventilated = Flag()


@described_by(survey.Fasteners)
class Fasteners(Posted):
    """Metal fasteners right through the fill."""

    conductivity_w_mk = Number(least=0.1, most=500, required=True)
    area_mm2 = Number(least=0.1, most=10_000, required=True)
    per_m2 = Number(least=0.01, most=1000, required=True)


@described_by(survey.Cavity)
class Cavity(Posted):
    """One cavity, or `count` identical ones."""

    label = label(required=True)
    element = one_of(Element, required=True)
    fill = one_of(Fill)
    width_m = metres(required=True)
    span_m = metres(required=True)
    count = Whole(least=1, most=10_000)
    pitch_deg = Number(least=0, most=90)
    layers = Several(fields.Nested(Layer), least=1, most=12, required=True)
    dividers = Flag()
    leaves_aligned = Flag()
    openings = Several(fields.Nested(Opening), most=60)
    displaced_m3 = Number(least=0, most=10_000)
    facing = one_of(Facing, required=True)
    inside = Several(fields.Nested(BuildUpLayer), most=12)
    outside = Several(fields.Nested(BuildUpLayer), most=12)
    target_kg_m3 = Number(least=5, most=200)
    label_r = Number(least=1, most=100)
    air_gap_level = Whole(least=0, most=2)
    fasteners = fields.Nested(Fasteners)


class Client(Posted):
    """Whom the work is for."""

    name = Text(required=True, metadata={"description": "Name of the client."})
    email = Mail(metadata={"description": "Mail address of the client."})
    phone = label(metadata={"description": "Telephone of the client, for the crew."})


class Site(Posted):
    """Where the work is done. An unknown age of the house is left out, not guessed."""

    address = Text(
        longest=400, lines=True, required=True, metadata={"description": "Where the building stands."}
    )
    country = iso_code(2, required=True, metadata={"description": "Country (ISO 3166, two letters)."})
    built_year = Whole(
        least=1000,
        most=2200,
        metadata={"description": "The year the house was built; left out where it is not known."},
    )


class Extra(Posted):
    """So much of an extra of the price list."""

    code = label(required=True, metadata={"description": "Code of the extra in the price list."})
    quantity = Number(
        least=0.01,
        most=1_000_000,
        required=True,
        metadata={"description": "How much of it, in its own unit."},
    )


class Building(Posted):
    """What takeoffs and quotes have in common."""

    practice = label(required=True, metadata={"description": "Code of the practice profile."})
    material = label(required=True, metadata={"description": "Code of the material."})
    currency = iso_code(3, required=True, metadata={"description": "Currency of the prices (ISO 4217)."})
    priced_on = fields.Date(
        metadata={"description": "The day whose prices and sheets hold; today, where it is left out."}
    )
    travel_km = Number(least=0, most=20_000, metadata={"description": "Distance to the site (km)."})
    extras = Several(fields.Nested(Extra), most=50, metadata={"description": "Extras of the price list."})
    cavities = Several(
        fields.Nested(Cavity),
        least=1,
        most=10_000,
        required=True,
        metadata={"description": "The cavities of the building."},
    )
