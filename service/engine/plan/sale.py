"""What an office adds to a price: lines and a discount of its own, the case of tax, and when it is paid.

As EN 16931-1 has it, so that an invoice can be made of it: no unit price is negative, what is taken off is an
allowance with its reason, and a tax category that charges nothing says why (BR-AE-10, BR-E-10, from memory).
"""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Annotated

from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.shapes import Unit
from service.engine.ground.vocabulary import TaxCase
from service.engine.plan.price_list import TaxRate
from service.engine.survey.sourced import Texts
from service.errors import Fault, InvalidInput

# Of UNTDID 5305, as EN 16931-1 uses it: standard rate (a reduced one too), reverse charge, exempt.
CATEGORY = {
    TaxCase.STANDARD: "S",
    TaxCase.REDUCED: "S",
    TaxCase.REVERSE_CHARGE: "AE",
    TaxCase.EXEMPT: "E",
}
UNTAXED = (TaxCase.REVERSE_CHARGE, TaxCase.EXEMPT)
HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeLine:
    """A line that the office writes itself."""

    text: Annotated[Texts, "what it is for, by language"]
    quantity: Annotated[float, "how much of it"]
    unit: Annotated[str, "what it is priced by"]
    unit_price: Annotated[Decimal, "price of one unit, before tax"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Discount:
    """What the office takes off: a share of the lines, or an amount."""

    percent: Annotated[Decimal | None, "share of the lines (%)"] = None
    amount: Annotated[Decimal | None, "amount before tax"] = None
    reason: Annotated[str | None, "why, as it is printed"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Payment:
    """A part of the total that is due at its time: a deposit, an instalment."""

    percent: Annotated[Decimal, "share of the total (%)"]
    due: Annotated[str, "when it is due, as it is printed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sale:
    """What an offer says beside the work: nothing, unless somebody says so."""

    lines: tuple[FreeLine, ...] = ()
    discount: Discount | None = None
    tax: TaxCase = TaxCase.STANDARD
    payments: tuple[Payment, ...] = ()


PLAIN = Sale()


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """What is taken off the lines before tax."""

    code: Annotated[str, "volume_discount or discount"]
    said: Annotated[Message, "what it is for"]
    reason: Annotated[str | None, "why, as the office wrote it"]
    base: Annotated[Decimal, "what it is taken off"]
    percent: Annotated[Decimal | None, Unit("%"), "share of the base; null where it is an amount"]
    amount: Annotated[Decimal, "what is taken off, a positive amount"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """A part of the total, in money."""

    percent: Annotated[Decimal, Unit("%"), "share of the total"]
    amount: Annotated[Decimal, "its amount, with tax"]
    due: Annotated[str, "when it is due"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Taxed:
    """How an offer is taxed."""

    case: TaxCase
    percent: Decimal
    text: Texts


def rounded(*, value: Decimal, places: int) -> Decimal:
    """`value` to so many decimals, halves away from nought."""
    return value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def discounted(*, discount: Discount | None, base: Decimal, places: int) -> tuple[Allowance, ...]:
    """What the office takes off `base`; raises InvalidInput where it is more than there is."""
    if discount is None:
        return ()
    if discount.percent is not None:
        amount = rounded(value=base * discount.percent / HUNDRED, places=places)
        said = message("plan.price_discount_percent", percent=Quantity(float(discount.percent), "%"))
    else:
        amount = rounded(value=discount.amount or Decimal(0), places=places)
        said = message("plan.price_discount")
    if amount > base:
        raise InvalidInput(Fault("/discount/amount", message("plan.discount_too_large", most=str(base))))
    return (
        Allowance(
            code="discount",
            said=said,
            reason=discount.reason,
            base=base,
            percent=discount.percent,
            amount=amount,
        ),
    )


def taxed(*, case: TaxCase, rates: tuple[TaxRate, ...], standard: Decimal, on: date) -> Taxed:
    """What a case of tax charges on a day; raises InvalidInput at `/tax` where the prices do not say."""
    known = [rate for rate in rates if rate.case is case and rate.in_force_from <= on]
    if known:
        rate = max(known, key=lambda each: each.in_force_from)
        return Taxed(case=case, percent=rate.percent, text=rate.text)
    if case is TaxCase.STANDARD:
        return Taxed(case=case, percent=standard, text={})
    raise InvalidInput(Fault("/tax", message("plan.no_such_tax", case=case, day=on)))


def due(*, payments: tuple[Payment, ...], total: Decimal, places: int) -> tuple[Due, ...]:
    """Each payment in money; where they are the whole, the last is what the others leave."""
    shares = sum((each.percent for each in payments), Decimal(0))
    if shares > HUNDRED:
        raise InvalidInput(Fault("/payments", message("plan.payments_beyond_whole")))
    amounts = [rounded(value=total * each.percent / HUNDRED, places=places) for each in payments]
    if payments and shares == HUNDRED:
        amounts[-1] = total - sum(amounts[:-1], Decimal(0))
    return tuple(
        Due(percent=each.percent, amount=amount, due=each.due)
        for each, amount in zip(payments, amounts, strict=True)
    )
