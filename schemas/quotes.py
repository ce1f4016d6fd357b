"""A quote: a building with its client and site, priced."""

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, ValidationError, fields, validate, validates_schema

from schemas.answers import Sentence, answer
from schemas.cavities import Cavity, Client, Site
from schemas.fields import Amount, Day, Moment, PageSize, Place, Text
from schemas.finding import FoundBy
from schemas.options import NUMBERS, Offered
from schemas.sale import Discount, Line, Payment
from schemas.takeoffs import WorkingQuery
from schemas.wrong import Said
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import LANGUAGES, QuoteState, TaxCase
from service.engine.plan.lines import OptionLine, ShortTakeoff
from service.engine.plan.takeoff import Takeoff

STATES = [state.value for state in QuoteState]


class OptionNumber(fields.String):
    """The number of an option, as it is printed."""

    def __init__(self, **options: Any) -> None:
        super().__init__(validate=validate.OneOf(NUMBERS), **options)


class QuoteBody(Offered):
    """What a sales system posts."""

    reference = Text(
        longest=80, required=True, metadata={"description": "The caller's own name for the quote."}
    )
    client = fields.Nested(Client, required=True, metadata={"description": "Whom the work is for."})
    site = fields.Nested(Site, required=True, metadata={"description": "Where the work is to be done."})
    language = fields.String(
        load_default="en",
        validate=validate.OneOf(LANGUAGES),
        metadata={"description": "What the documents are printed in; the firm's own texts stay as they are."},
    )

    @validates_schema
    def who_owes_the_tax_is_named(self, data: Mapping[str, Any], **_options: Any) -> None:
        """Where the recipient owes the tax, his number is on the paper (EN 16931, BR-AE-2, from memory)."""
        if data.get("tax") == TaxCase.REVERSE_CHARGE and "tax_number" not in data["client"]:
            raise ValidationError({"client": {"tax_number": [Said(message("schemas.no_tax_number"))]}})


class AcceptanceBody(Schema):
    """Who accepted an offer, and how the office knows."""

    accepted_by = Text(required=True, metadata={"description": "Name of who accepted it for the client."})
    how = Text(
        required=True,
        metadata={"description": "How it reached the office: a signed page, a letter, by telephone."},
    )


class QuoteAcceptanceBody(AcceptanceBody):
    """Who accepted an offer, how, and which of its options."""

    option = OptionNumber(metadata={"description": "Which of its options; left out where it has none."})


class ClientAcceptanceBody(Schema):
    """What a client says who accepts by his link."""

    name = Text(required=True, metadata={"description": "His name, as he types it."})
    document_sha256 = fields.String(
        required=True,
        validate=validate.Regexp("^[0-9a-f]{64}$(?!\n)", error=Said(message("schemas.no_sha256"))),
        metadata={"description": "SHA-256 of the document that he was shown."},
    )


class ClientQuoteAcceptanceBody(ClientAcceptanceBody):
    """What a client says who accepts an offer by his link."""

    option = OptionNumber(metadata={"description": "Which of its options; left out where it has none."})


class Acceptance(Schema):
    """Who accepted an offer, when, and which document lay before him."""

    by = fields.String(
        validate=validate.OneOf(["client", "office"]),
        metadata={"description": "Whether the client did it, by the link, or the office for him."},
    )
    accepted_by = fields.String(
        allow_none=True,
        metadata={"description": "Name of who accepted it, as it was typed; null once it was erased."},
    )
    how = fields.String(
        allow_none=True,
        metadata={"description": "How it reached the office; null where the client did it by the link."},
    )
    document_sha256 = fields.String(
        allow_none=True,
        metadata={"description": "SHA-256 of the document that was accepted; null where there was none yet."},
    )
    option = fields.String(
        allow_none=True, metadata={"description": "Which of its options; null where it has none."}
    )
    accepted_at = Moment(metadata={"description": "When it was accepted."})


class ClientRefusalBody(ClientAcceptanceBody):
    """What a client says who refuses by his link."""

    reason = Text(
        longest=1000,
        lines=True,
        metadata={"description": "Why, where he says so; it is erased with him."},
    )


class Refusal(Schema):
    """Who refused an offer by his link, when, why, and which document lay before him."""

    refused_by = fields.String(
        allow_none=True,
        metadata={"description": "Name of who refused it, as it was typed; null once it was erased."},
    )
    reason = fields.String(
        allow_none=True, metadata={"description": "Why, where he said so; null once it was erased."}
    )
    document_sha256 = fields.String(metadata={"description": "SHA-256 of the document that was refused."})
    refused_at = Moment(metadata={"description": "When it was refused."})


class CopyBody(Schema):
    """What a copy of a quote is called."""

    reference = Text(
        longest=80, required=True, metadata={"description": "The caller's own name for the copy."}
    )


class ErasureBody(Schema):
    """Why a client's personal data is erased."""

    reason = Text(
        longest=1000,
        lines=True,
        required=True,
        metadata={"description": "Why; it stays, and must not name the client."},
    )


class QuoteHead(Schema):
    """A quote without its cavities."""

    id = fields.UUID(metadata={"description": "The quote's id."})
    number = fields.String(
        allow_none=True, metadata={"description": "The number that it was offered under; null for a draft."}
    )
    revision = fields.Integer(metadata={"description": "Which of the offers under this number it is."})
    revises = fields.String(
        allow_none=True, metadata={"description": "The quote that it takes the place of once it is offered."}
    )
    reference = fields.String(metadata={"description": "The caller's own name for it."})
    state = fields.String(
        validate=validate.OneOf(STATES),
        metadata={"description": "What has become of it; an offer lapses by itself."},
    )
    version = fields.Integer(metadata={"description": "Counts up with every change."})
    client = fields.Nested(Client, metadata={"description": "Whom the work is for."})
    site = fields.Nested(Site, metadata={"description": "Where the work is to be done."})
    client_erased_at = Moment(
        allow_none=True, metadata={"description": "When the client's personal data was erased."}
    )
    currency = fields.String(metadata={"description": "Currency of its prices (ISO 4217)."})
    total = Amount(metadata={"description": "Total with tax, in its currency."})
    created_at = Moment(metadata={"description": "When it was drafted."})
    updated_at = Moment(metadata={"description": "When it was changed last."})
    offered_at = Moment(allow_none=True, metadata={"description": "When it was offered; null for a draft."})
    valid_until = Day(
        allow_none=True, metadata={"description": "The last day that the offer holds; null for a draft."}
    )
    accepted_at = Moment(allow_none=True, metadata={"description": "When it was accepted."})
    withdrawn_at = Moment(allow_none=True, metadata={"description": "When it was withdrawn."})
    superseded_at = Moment(allow_none=True, metadata={"description": "When a later revision was offered."})
    superseded_by = fields.String(allow_none=True, metadata={"description": "Id of that later revision."})


class Quote(QuoteHead):
    """A quote in short: totals, and one line a cavity."""

    language = fields.String(
        validate=validate.OneOf(LANGUAGES), metadata={"description": "What the documents are printed in."}
    )
    practice = fields.String(metadata={"description": "Code of the practice profile."})
    material = fields.String(metadata={"description": "Code of the material."})
    priced_on = Day(metadata={"description": "The day whose prices and sheets hold."})
    travel_km = fields.Float(metadata={"description": "Distance to the site as posted (km)."})
    extras = fields.List(
        fields.Dict(), metadata={"description": "Extras of the price list as they were ordered."}
    )
    price_list = fields.String(metadata={"description": "The price list that was asked for."})
    lines = fields.List(fields.Nested(Line), metadata={"description": "Lines that the office wrote itself."})
    discount = fields.Nested(Discount, metadata={"description": "What the office takes off."})
    tax = fields.String(metadata={"description": "The case of tax that was asked for."})
    payments = fields.List(fields.Nested(Payment), metadata={"description": "Deposit and instalments."})
    notes = fields.List(fields.String(), metadata={"description": "What is printed beside the price."})
    starts_on = Day(metadata={"description": "The day that the work is to begin."})
    valid_days = fields.Integer(metadata={"description": "How long the offer holds (days)."})
    display = fields.String(metadata={"description": "How the price of the work is printed."})
    takeoff = fields.Nested(answer(ShortTakeoff), metadata={"description": "What was worked out, in short."})
    options = fields.List(
        fields.Nested(answer(OptionLine)),
        metadata={"description": "Its options side by side, 1 among them; none where there is no choice."},
    )
    acceptance = fields.Nested(
        Acceptance,
        allow_none=True,
        metadata={"description": "Who accepted it, how and when; null before it is accepted."},
    )
    job_id = fields.UUID(
        allow_none=True, metadata={"description": "The job that it became; null before it is accepted."}
    )
    warnings = fields.List(
        fields.Nested(Sentence), metadata={"description": "What somebody may have overlooked."}
    )


class QuoteWorking(Quote):
    """A quote with all that was worked out for it."""

    cavities = fields.List(
        fields.Nested(Cavity), metadata={"description": "The cavities as they were surveyed."}
    )
    takeoff = fields.Nested(answer(Takeoff), metadata={"description": "What was worked out."})


class QuotePage(Schema):
    """Quotes, newest first; the Link header names the next page."""

    items = fields.List(
        fields.Nested(QuoteHead), metadata={"description": "The page's quotes, newest first."}
    )


class QuoteQuery(FoundBy):
    """Which quotes to list."""

    state = fields.String(validate=validate.OneOf(STATES))
    limit = PageSize()
    after = fields.UUID()


class RevisionQuery(Schema):
    """Which revision of an offer is meant."""

    revision = Place(metadata={"description": "Which of the offers under its number; the latest without it."})


class QuoteWorkingQuery(RevisionQuery, WorkingQuery):
    """Whose working is asked for, of which revision and option."""

    option = OptionNumber(metadata={"description": "Which option; without it what was accepted, or 1."})
