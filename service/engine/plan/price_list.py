"""A firm's price list, and what a quote orders by it."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Annotated

from service.engine.ground.messages import message
from service.engine.ground.vocabulary import TaxCase
from service.engine.survey.sourced import Sourced, Texts
from service.errors import Fault, InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialPrice:
    """The price of one kilogram of the material with this code, delivered to the machine."""

    code: Annotated[str, "code of the material"]
    price: Annotated[Decimal, "price of a kilogram"]


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeDiscount:
    """From `from_kg` kilograms on, `percent` off the material line."""

    from_kg: Annotated[Decimal, "from so many kilograms on (kg)"]
    percent: Annotated[Decimal, "off the material (%)"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """Something that a quote can order by its code: scaffold a square metre, a blower-door test."""

    code: Annotated[str, "code that a quote orders it by"]
    text: Annotated[Texts, "what it is called on the quote, by language"]
    unit: Annotated[str, "what it is priced by"]
    unit_price: Annotated[Decimal, "price of one unit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxRate:
    """What a case of tax charges from a day on; `text` is printed, and says why where nothing is charged."""

    case: Annotated[TaxCase, "the case of tax"]
    percent: Annotated[Decimal, "tax on the net (%)"]
    in_force_from: Annotated[date, "the day that it is in force from"]
    text: Annotated[Texts, "sentence that is printed, by language"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceList(Sourced):
    """A firm's prices before tax, in force from a day until a later list takes over.

    `currency` is an ISO 4217 code and `minor_units` its number of decimals (2 for
    most, 0 for JPY, 3 for KWD). Unit prices may be finer than that; amounts are not.
    An offer by this list holds `valid_days` days. `blowing_per_hour` is for the whole
    crew. `minimum_charge` is what the net is lifted to.
    """

    code: Annotated[str, "code of the list"]
    name: Annotated[str, "name of the list"]
    currency: Annotated[str, "currency of its prices (ISO 4217)"]
    in_force_from: Annotated[date, "the day that it is in force from"]
    valid_days: Annotated[int, "how long an offer by it holds (days)"]
    tax_percent: Annotated[Decimal, "tax on the net (%)"]
    material_per_kg: Annotated[tuple[MaterialPrice, ...], "price of a kilogram, by material"]
    blowing_per_hour: Annotated[Decimal, "price of an hour of the whole crew"]
    hole_each: Annotated[Decimal, "price of a hole"]
    patch_each: Annotated[Decimal, "price of a patch"]
    tape_per_m: Annotated[Decimal, "price of a metre of tape"]
    strip_per_m: Annotated[Decimal, "price of a metre of dividing strip"]
    set_up: Annotated[Decimal, "price of setting up"]
    travel_per_km: Annotated[Decimal, "price of a kilometre to the site"]
    sample_each: Annotated[Decimal, "price of a sample"]
    minimum_charge: Annotated[Decimal, "what the net is lifted to"]
    discounts: Annotated[tuple[VolumeDiscount, ...], "discounts on the material by its mass"] = ()
    extras: Annotated[tuple[Extra, ...], "what a quote can order by its code"] = ()
    taxes: Annotated[tuple[TaxRate, ...], "tax beside the usual rate, by its case, each from a day on"] = ()
    terms: Annotated[Texts | None, "terms of the firm that an offer by it has, by language"] = None
    minor_units: Annotated[int, "decimals of the currency's amounts"] = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraOrder:
    """So much of the extra with this code, in the extra's own unit."""

    code: str
    quantity: float


def refuse_unpriced(
    *,
    price_list: PriceList,
    currency: str,
    priced_on: date,
    material_code: str,
    extras: tuple[ExtraOrder, ...],
) -> None:
    """Raise InvalidInput with all that a price list does not answer to, by the pointers of a quote's body."""
    name = price_list.code
    faults = []
    if currency != price_list.currency:
        faults.append(
            Fault(
                "/currency",
                message("plan.other_currency", prices=name, its=price_list.currency, asked=currency),
            )
        )
    if priced_on < price_list.in_force_from:
        faults.append(
            Fault("/priced_on", message("plan.prices_not_yet", prices=name, day=price_list.in_force_from))
        )
    if material_code not in {row.code for row in price_list.material_per_kg}:
        faults.append(
            Fault("/material", message("plan.no_material_price", prices=name, material=material_code))
        )
    known = {extra.code for extra in price_list.extras}
    for index, order in enumerate(extras):
        if order.code not in known:
            faults.append(
                Fault(f"/extras/{index}/code", message("plan.no_such_extra", prices=name, extra=order.code))
            )
    if faults:
        raise InvalidInput(*faults)
