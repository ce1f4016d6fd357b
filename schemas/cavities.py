"""A cavity as it is posted: shape, ranges and units. What it means is the engine's to say."""

from collections.abc import Mapping
from typing import Any

from marshmallow import ValidationError, fields, validate, validates_schema

from schemas import sale
from schemas.fields import (
    Day,
    Flag,
    Mail,
    Number,
    Several,
    Text,
    Whole,
    iso_code,
    one_of,
)
from schemas.fields import code as short_code
from schemas.fields import label as short_name
from schemas.posted import Posted
from schemas.shapes import described_by
from schemas.wrong import Said, wrong
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Element, Facing, Fill, Runs, Surveyed, TaxCase
from service.engine.survey import cavity as survey
from service.engine.survey import limits
from service.engine.survey.build_up import MEMBERS


def within(limits: tuple[float, float], **options: Any) -> Number:
    """A number within the range of a survey."""
    least, most = limits
    return Number(least=least, most=most, **options)


@described_by(survey.Framing)
class Framing(Posted):
    """Timber in a layer: members at a spacing, counted or measured, or a fraction of timber."""

    member_mm = within(limits.TIMBER_MM)
    spacing_mm = within(limits.TIMBER_MM)
    conductivity_w_mk = within(limits.CONDUCTIVITY_W_MK)
    runs = one_of(Runs)
    plates_mm = within(limits.NONE_OR_MM)
    blocking_rows = Whole(least=0, most=limits.MOST_ROWS)
    blocking_mm = within(limits.NONE_OR_MM)
    timber_fraction = within(limits.SHARE)
    timber_fraction_u = within(limits.SHARE)
    members = Whole(least=limits.LEAST_MEMBERS, most=limits.MOST_MEMBERS)
    members_at_m = Several(within(limits.PLACE_M), least=1, most=limits.MOST_MEMBERS)


@described_by(survey.Layer)
class Layer(Posted):
    """One layer of the cavity's depth."""

    depth_mm = within(limits.TIMBER_MM, required=True)
    framing = fields.Nested(Framing)


@described_by(survey.Opening)
class Opening(Posted):
    """A window, door or hatch; `left_m` and `sill_m` place a single one."""

    width_m = within(limits.IN_PLANE_M, required=True)
    height_m = within(limits.IN_PLANE_M, required=True)
    count = Whole(least=1, most=limits.MOST_COUNT)
    trim_mm = within(limits.NONE_OR_MM)
    left_m = within(limits.PLACE_M)
    sill_m = within(limits.PLACE_M)
    reveal_mm = within(limits.NONE_OR_MM)


@described_by(survey.Displaced)
class Displaced(Posted):
    """What takes room from the fill: pipes, ducts, boxes, fill that stays."""

    volume_m3 = within(limits.DISPLACED_M3, required=True)
    u_m3 = within(limits.DISPLACED_M3)
    bay = Whole(least=1, most=limits.MOST_PARTS)


@described_by(survey.BuildUpLayer)
class BuildUpLayer(Posted):
    """A layer beside the cavity, for heat and vapour."""

    name = short_name(required=True)
    thickness_mm = within(limits.THICKNESS_MM)
    conductivity_w_mk = within(limits.CONDUCTIVITY_W_MK)
    resistance_m2k_w = within(limits.RESISTANCE_M2K_W)
    mu = Number(least=0.1, most=10_000_000)
    sd_m = within(limits.SD_M)
    ventilated = Flag()
    timber_fraction = within(limits.SHARE)
    timber_conductivity_w_mk = within(limits.CONDUCTIVITY_W_MK)


@described_by(survey.Fasteners)
class Fasteners(Posted):
    """Metal fasteners right through the fill."""

    conductivity_w_mk = Number(least=0.1, most=500, required=True)
    area_mm2 = Number(least=0.1, most=10_000, required=True)
    per_m2 = Number(least=0.01, most=1000, required=True)


def depth(**options: Any) -> Several:
    """The layers of a cavity's depth."""
    return Several(fields.Nested(Layer), least=1, most=limits.MOST_LAYERS, **options)


def beside() -> Several:
    """The layers on one side of a cavity."""
    return Several(fields.Nested(BuildUpLayer), most=limits.MOST_BESIDE)


@described_by(survey.Cavity)
class Cavity(Posted):
    """One cavity, or `count` identical ones."""

    label = short_name(required=True)
    place = short_name()
    element = one_of(Element, required=True)
    fill = one_of(Fill)
    width_m = within(limits.IN_PLANE_M, required=True)
    span_m = within(limits.IN_PLANE_M, required=True)
    profile_m = Several(
        Several(within(limits.PLACE_M), least=2, most=2),
        least=limits.LEAST_POINTS,
        most=limits.MOST_POINTS,
    )
    surveyed = one_of(Surveyed)
    count = Whole(least=1, most=limits.MOST_CAVITIES)
    pitch_deg = within(limits.PITCH_DEG)
    layers = depth(required=True)
    dividers = Flag()
    leaves_aligned = Flag()
    openings = Several(fields.Nested(Opening), most=limits.MOST_OPENINGS)
    displaced = Several(fields.Nested(Displaced), most=limits.MOST_DISPLACED)
    facing = one_of(Facing, required=True)
    inside = beside()
    outside = beside()
    target_kg_m3 = Number(least=5, most=200)
    label_r = Number(least=1, most=100)
    air_gap_level = Whole(least=0, most=2)
    fasteners = fields.Nested(Fasteners)


class CavityBody(Cavity):
    """A cavity as it is posted: its layers are its own, or a build-up's of the firm's library."""

    build_up = short_code(
        metadata={"description": "A build-up of the firm's, in the place of layers, inside and outside."}
    )
    layers = depth(metadata={"description": "The depth of the cavity, from the outside in."})

    @validates_schema
    def layers_come_from_one_place(self, data: Mapping[str, Any], **_options: Any) -> None:
        """A build-up is taken over whole; without one there are layers."""
        if "build_up" not in data and "layers" not in data:
            raise wrong(message("schemas.no_layers"), "layers")
        if "build_up" in data:
            twice = [name for name in MEMBERS if name in data]
            if twice:
                raise ValidationError({name: [Said(message("schemas.layers_twice"))] for name in twice})


class Client(Posted):
    """Whom the work is for."""

    name = Text(required=True, metadata={"description": "Name of the client."})
    email = Mail(metadata={"description": "Mail address of the client."})
    phone = short_name(metadata={"description": "Telephone of the client, for the crew."})
    billing_address = Text(
        longest=400, lines=True, metadata={"description": "Where the invoice goes, if not to the building."}
    )
    tax_number = short_name(metadata={"description": "Number for value-added tax: reverse charge needs it."})


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

    code = short_name(required=True, metadata={"description": "Code of the extra in the price list."})
    quantity = Number(
        least=0.01,
        most=1_000_000,
        required=True,
        metadata={"description": "How much of it, in its own unit."},
    )


DISPLAYS = ["lines", "per_m2", "lump"]


class Building(Posted):
    """What takeoffs and quotes have in common."""

    practice = short_name(required=True, metadata={"description": "Code of the practice profile."})
    material = short_name(required=True, metadata={"description": "Code of the material."})
    currency = iso_code(3, required=True, metadata={"description": "Currency of the prices (ISO 4217)."})
    priced_on = Day(
        metadata={"description": "The day whose prices and sheets hold; today, where it is left out."}
    )
    travel_km = Number(least=0, most=20_000, metadata={"description": "Distance to the site (km)."})
    extras = Several(fields.Nested(Extra), most=50, metadata={"description": "Extras of the price list."})
    price_list = short_name(
        metadata={"description": "Code of the price list; the latest in force in the currency, without it."}
    )
    lines = Several(
        fields.Nested(sale.Line), most=100, metadata={"description": "Lines that the office writes itself."}
    )
    discount = fields.Nested(sale.Discount, metadata={"description": "What the office takes off."})
    tax = one_of(TaxCase, metadata={"description": "The case of tax; the standard rate without it."})
    payments = Several(
        fields.Nested(sale.Payment),
        most=20,
        metadata={"description": "Deposit and instalments; the rest is due after the work."},
    )
    notes = Several(
        Text(longest=1000), most=20, metadata={"description": "What is printed beside the price."}
    )
    starts_on = Day(metadata={"description": "The day that the work is to begin."})
    valid_days = Whole(
        least=1,
        most=730,
        metadata={"description": "How long the offer holds (days); as the price list says, without it."},
    )
    display = fields.String(
        validate=validate.OneOf(DISPLAYS),
        metadata={
            "description": "How the price of the work is printed: by lines, a square metre, or a lump."
        },
    )
    cavities = Several(
        fields.Nested(CavityBody),
        least=1,
        most=limits.MOST_CAVITIES,
        required=True,
        metadata={"description": "The cavities of the building."},
    )
