"""What a job costs, by a dated price list, to the smallest coin.

`Decimal` throughout and one rounding function: half up, as invoices are rounded
(and as Regulation (EC) 1103/97, article 5, has it for the euro). A quantity is
rounded before it is multiplied, so that whoever reads a line can work it out
again: quantity times unit price, rounded, is the line's amount, and the amounts
add up to the net. What costs nothing has no line, unless it was ordered as an extra.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Annotated

from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.shapes import Unit
from service.engine.ground.vocabulary import Standing
from service.engine.plan.price_list import Extra, ExtraOrder, PriceList
from service.engine.survey.sourced import Texts
from service.errors import Fault, InvalidInput

PRICE = Formula(
    code="price",
    expression=(
        "amount = round(quantity x unit_price, minor_units); net = sum(amount); "
        "tax = round(net x tax_percent/100, minor_units); total = net + tax"
    ),
    source="EN 16931-1 business rules BR-CO-10, BR-CO-15 and BR-CO-17",
    standing=Standing.PUBLISHED,
)

FORMULAS = (PRICE,)

# What the lines that every price may have are for, by their code.
SAID = {
    "blowing": message("plan.price_blowing"),
    "holes": message("plan.price_holes"),
    "patches": message("plan.price_patches"),
    "tape": message("plan.price_tape"),
    "strip": message("plan.price_strip"),
    "samples": message("plan.price_samples"),
    "set_up": message("plan.price_set_up"),
    "travel": message("plan.price_travel"),
}


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

    lines: Annotated[tuple[PriceLine, ...], "its lines; their amounts add up to the net"]
    net: Annotated[Decimal, "before tax"]
    tax_percent: Annotated[Decimal, Unit("%"), "rate of tax"]
    tax: Annotated[Decimal, "tax on the net"]
    total: Annotated[Decimal, "net and tax"]
    currency: Annotated[str, "ISO 4217 code"]
    price_list: Annotated[str, "code of the price list"]
    provenance: Annotated[Provenance, "how it adds up, and whose prices they are"]


# Code, quantity, unit and unit price of a line.
_Row = tuple[str, float, str, Decimal]


def rounded(*, value: Decimal, places: int) -> Decimal:
    """`value` to so many decimals, halves away from nought."""
    return value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def price(
    *,
    price_list: PriceList,
    currency: str,
    priced_on: date,
    material_code: str,
    mass_kg: float,
    blowing_hours: float,
    holes: int,
    patches: int,
    tape_m: float,
    strip_m: float,
    samples: int,
    travel_km: float,
    extras: tuple[ExtraOrder, ...] = (),
) -> Price:
    """The price of a job.

    `blowing_hours` are the crew's hours that are charged by the hour, `travel_km`
    all kilometres charged. The volume discount is that of the highest tier reached
    by `mass_kg`, off the material. Where the lines stay below the minimum charge, a
    last line lifts the net to it.

    Raises InvalidInput at `/currency`, `/priced_on`, `/material` or
    `/extras/0/code` where the price list does not answer to them.
    """
    _refuse(price_list, currency, priced_on, material_code, extras)
    per_kg = next(row.price for row in price_list.material_per_kg if row.code == material_code)
    ordered = {extra.code: extra for extra in price_list.extras}
    quantities = (mass_kg, blowing_hours, holes, patches, tape_m, strip_m, samples, 1, travel_km)
    rows = _rows(price_list, per_kg, quantities)
    said = {"material": message("plan.price_material", material=material_code)}
    places = price_list.minor_units
    lines = [_line(row, places, said=said.get(row[0], SAID.get(row[0]))) for row in rows]
    lines += [_extra(ordered[order.code], order.quantity, places) for order in extras]
    lines[1:1] = _discount(price_list, lines[0])
    lines += _lift(price_list, _sum(lines))
    return _totalled(price_list, tuple(line for line in lines if line.amount or line.code in ordered))


def _rows(price_list: PriceList, per_kg: Decimal, quantities: tuple[float, ...]) -> list[_Row]:
    """The lines that every price can have, in their order."""
    priced = (
        ("material", "kg", per_kg),
        ("blowing", "h", price_list.blowing_per_hour),
        ("holes", "piece", price_list.hole_each),
        ("patches", "piece", price_list.patch_each),
        ("tape", "m", price_list.tape_per_m),
        ("strip", "m", price_list.strip_per_m),
        ("samples", "piece", price_list.sample_each),
        ("set_up", "job", price_list.set_up),
        ("travel", "km", price_list.travel_per_km),
    )
    return [
        (code, quantity, unit, unit_price)
        for (code, unit, unit_price), quantity in zip(priced, quantities, strict=True)
    ]


def _extra(extra: Extra, quantity: float, places: int) -> PriceLine:
    return _line((extra.code, quantity, extra.unit, extra.unit_price), places, text=extra.text)


def _line(row: _Row, places: int, *, said: Message | None = None, text: Texts | None = None) -> PriceLine:
    code, quantity, unit, unit_price = row
    exact = rounded(value=Decimal(str(quantity)), places=0 if isinstance(quantity, int) else 2)
    return PriceLine(
        code=code,
        said=said,
        text=text or {},
        quantity=exact,
        unit=unit,
        unit_price=unit_price,
        amount=rounded(value=exact * unit_price, places=places),
    )


def _discount(price_list: PriceList, material: PriceLine) -> list[PriceLine]:
    reached = [tier for tier in price_list.discounts if tier.from_kg <= material.quantity]
    if not reached:
        return []
    tier = max(reached, key=lambda each: each.from_kg)
    off = rounded(value=material.amount * tier.percent / 100, places=price_list.minor_units)
    said = message(
        "plan.price_volume_discount",
        percent=Quantity(float(tier.percent), "%"),
        least=Quantity(float(tier.from_kg), "kg"),
    )
    return [_line(("volume_discount", 1, "job", -off), price_list.minor_units, said=said)]


def _lift(price_list: PriceList, net: Decimal) -> list[PriceLine]:
    lift = rounded(value=price_list.minimum_charge, places=price_list.minor_units) - net
    if lift <= 0:
        return []
    row = ("minimum_charge", 1, "job", lift)
    return [_line(row, price_list.minor_units, said=message("plan.price_minimum_charge"))]


def _refuse(
    price_list: PriceList,
    currency: str,
    priced_on: date,
    material_code: str,
    extras: tuple[ExtraOrder, ...],
) -> None:
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


def _sum(lines: Iterable[PriceLine]) -> Decimal:
    return sum((line.amount for line in lines), Decimal(0))


def _totalled(price_list: PriceList, lines: tuple[PriceLine, ...]) -> Price:
    net = rounded(value=_sum(lines), places=price_list.minor_units)
    tax = rounded(value=net * price_list.tax_percent / 100, places=price_list.minor_units)
    return Price(
        lines=lines,
        net=net,
        tax_percent=price_list.tax_percent,
        tax=tax,
        total=net + tax,
        currency=price_list.currency,
        price_list=price_list.code,
        provenance=replace(
            PRICE.provenance,
            source=f"{PRICE.source}; {price_list.source}",
            standing=price_list.standing,
        ),
    )
