"""A price list, in force from a day."""

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, fields, validates_schema

from schemas.fields import Amount, Day, Moment, Several, Text, Whole, iso_code, label, one_of, texts
from schemas.materials import Sourced
from schemas.posted import Posted
from schemas.shapes import described_by
from schemas.touched import Touched
from schemas.wrong import wrong
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import TaxCase
from service.engine.plan import price_list as known
from service.engine.plan import sale


@described_by(known.MaterialPrice)
class MaterialPrice(Posted):
    """The price of a kilogram."""

    code = label(required=True)
    price = Amount(required=True)


@described_by(known.VolumeDiscount)
class VolumeDiscount(Posted):
    """From so many kilograms on, so many percent off the material."""

    from_kg = Amount(required=True)
    percent = Amount(most="100", required=True)


@described_by(known.TaxRate)
class TaxRate(Posted):
    """What a case of tax charges from a day on."""

    case = one_of(TaxCase, required=True)
    percent = Amount(most="60", required=True)
    in_force_from = Day(required=True)
    text = texts(longest=400, required=True)

    @validates_schema
    def charges_nothing(self, data: Mapping[str, Any], **_options: Any) -> None:
        """Whoever is not charged is not charged anything (EN 16931-1, BR-AE-5 and BR-E-5, from memory)."""
        if data["case"] in sale.UNTAXED and data["percent"]:
            raise wrong(message("schemas.not_taxed"), "percent")


class ExtraPrice(Posted):
    """Something that a quote can order by its code."""

    code = label(required=True, metadata={"description": "Code that a quote orders it by."})
    text = texts(required=True, metadata={"description": "What it is called on the quote, by language."})
    unit = Text(longest=20, required=True, metadata={"description": "What it is priced by."})
    unit_price = Amount(required=True, metadata={"description": "Price of one unit."})


@described_by(known.PriceList)
class PriceListBody(Sourced):
    """A firm's prices before tax."""

    code = label(required=True)
    name = label(required=True)
    currency = iso_code(3, required=True)
    in_force_from = Day(required=True)
    valid_days = Whole(least=1, most=730, required=True)
    tax_percent = Amount(most="60", required=True)
    material_per_kg = Several(fields.Nested(MaterialPrice), least=1, most=200, required=True)
    blowing_per_hour = Amount(required=True)
    hole_each = Amount(required=True)
    patch_each = Amount(required=True)
    tape_per_m = Amount(required=True)
    strip_per_m = Amount(required=True)
    set_up = Amount(required=True)
    travel_per_km = Amount(required=True)
    sample_each = Amount(required=True)
    minimum_charge = Amount(required=True)
    discounts = Several(fields.Nested(VolumeDiscount), most=20)
    extras = Several(fields.Nested(ExtraPrice), most=200)
    minor_units = Whole(least=0, most=4)
    terms = texts(longest=4000, lines=True)
    taxes = Several(fields.Nested(TaxRate), most=20)

    @validates_schema
    def each_code_once(self, data: Mapping[str, Any], **_options: Any) -> None:
        """Two rows of one code would leave open which one holds."""
        rates = [(row["case"], row["in_force_from"]) for row in data.get("taxes", ())]
        if len(set(rates)) < len(rates):
            raise wrong(message("schemas.tax_twice"), "taxes")
        for name, key in (("material_per_kg", "code"), ("extras", "code"), ("discounts", "from_kg")):
            named = [row[key] for row in data.get(name, ())]
            if len(set(named)) < len(named):
                raise wrong(message("schemas.twice", key=key), name)


class PriceList(PriceListBody):
    """A list as it is kept."""

    id = fields.UUID(metadata={"description": "Id of the list."})
    created_at = Moment(metadata={"description": "When the list was added."})


class AddedPriceList(PriceList):
    """A version that was just added."""

    touches = fields.List(
        fields.Nested(Touched),
        metadata={"description": "Drafts that come out otherwise by it; each stays as it is."},
    )


class PriceLists(Schema):
    """Every list, oldest first."""

    items = fields.List(fields.Nested(PriceList), metadata={"description": "Every list, oldest first."})
