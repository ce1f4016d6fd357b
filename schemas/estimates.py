"""An estimate before the survey: parts by area and depth, as they are told on the telephone."""

from marshmallow import fields, validate

from schemas.cavities import Client, Extra, Site, within
from schemas.fields import Day, Number, Several, Text, iso_code, one_of
from schemas.fields import label as short_name
from schemas.posted import Posted
from schemas.shapes import described_by
from service.engine.ground.vocabulary import LANGUAGES, Element
from service.engine.plan import estimate as known
from service.engine.survey import limits

MOST_PARTS = 50
AREA_M2 = (0.1, 100_000.0)


@described_by(known.Part)
class EstimatePart(Posted):
    """A part of a building."""

    element = one_of(Element, required=True)
    area_m2 = within(AREA_M2, required=True)
    depth_mm = within(limits.TIMBER_MM, required=True)
    label_r = Number(least=1, most=100)
    label = short_name()
    framing = short_name()


class EstimateBody(Posted):
    """What is known of a building; what it does not name is the firm's usual one."""

    practice = short_name(metadata={"description": "Code of the practice profile; the firm's usual one."})
    material = short_name(metadata={"description": "Code of the material; the firm's usual one."})
    currency = iso_code(3, metadata={"description": "Currency of the prices (ISO 4217); the firm's own."})
    priced_on = Day(
        metadata={"description": "The day whose prices and sheets hold; today, where it is left out."}
    )
    travel_km = Number(least=0, most=20_000, metadata={"description": "Distance to the site (km)."})
    extras = Several(fields.Nested(Extra), most=50, metadata={"description": "Extras of the price list."})
    parts = Several(
        fields.Nested(EstimatePart),
        least=1,
        most=MOST_PARTS,
        required=True,
        metadata={"description": "The parts of the building."},
    )


class EstimateDraftBody(EstimateBody):
    """An estimate that becomes a draft, to be surveyed before it is offered."""

    reference = Text(
        longest=80, required=True, metadata={"description": "The caller's own name for the quote."}
    )
    client = fields.Nested(Client, required=True, metadata={"description": "Whom the work is for."})
    site = fields.Nested(Site, required=True, metadata={"description": "Where the work is to be done."})
    language = fields.String(
        load_default="en",
        validate=validate.OneOf(LANGUAGES),
        metadata={"description": "What the documents are printed in."},
    )
