"""A price by its lines, as it is answered, printed and kept."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from service.engine.ground.formula import Provenance
from service.engine.ground.messages import Message
from service.engine.ground.shapes import Unit
from service.engine.ground.vocabulary import TaxCase
from service.engine.plan.sale import Allowance, Due
from service.engine.survey.sourced import Texts

FREE = "free"
"""Code of the lines that the office writes itself."""
OF_THE_WORK = {
    *("material", "blowing", "holes", "patches", "tape", "strip", "samples", "set_up", "travel"),
    *("minimum_charge", "rounding"),
}
"""Codes of the lines that every price may have: all others are extras of the firm's, or the office's own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """A line of the price: `amount` is `quantity` times `unit_price`, rounded."""

    code: Annotated[str, "what the line is for; an extra's own code"]
    said: Annotated[Message | None, "what the line is for; None for an extra"]
    text: Annotated[Texts, "an extra's own words, by language"]
    quantity: Annotated[Decimal, "how much of it"]
    unit: Annotated[str, "of what one costs the unit price"]
    unit_price: Annotated[Decimal, "price of one, before tax"]
    amount: Annotated[Decimal, "quantity times unit price, rounded"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """A price by its lines, with the price list (`price_list` is its code) that it was made by."""

    lines: Annotated[tuple[PriceLine, ...], "its lines; their amounts less the allowances are the net"]
    allowances: Annotated[tuple[Allowance, ...], "what is taken off: discounts"]
    net: Annotated[Decimal, "before tax"]
    work: Annotated[Decimal, "what of the lines is the work itself, without extras and the office's own"]
    work_per_m2: Annotated[Decimal | None, "that by the square metre of all parts; null without any"]
    tax_case: Annotated[TaxCase, "the case of tax"]
    tax_category: Annotated[str, "its category as EN 16931-1 codes it (UNTDID 5305)"]
    tax_text: Annotated[Texts, "what is printed of it, by language"]
    tax_percent: Annotated[Decimal, Unit("%"), "rate of tax"]
    tax: Annotated[Decimal, "tax on the net"]
    total: Annotated[Decimal, "net and tax"]
    payments: Annotated[tuple[Due, ...], "what of it is due when; the rest after the work"]
    currency: Annotated[str, "ISO 4217 code"]
    price_list: Annotated[str, "code of the price list"]
    provenance: Annotated[Provenance, "how it adds up, and whose prices they are"]
