"""What a job costs, by a dated price list, to the smallest coin.

`Decimal` throughout and one rounding function: half up, as invoices are rounded
(and as Regulation (EC) 1103/97, article 5, has it for the euro). A quantity is
rounded before it is multiplied, so that whoever reads a line can work it out
again: quantity times unit price, rounded, is the line's amount, and the amounts
add up to the net. What costs nothing has no line, unless it was ordered as an extra.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from decimal import Decimal

from service.engine.ground.formula import Formula
from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.vocabulary import Standing
from service.engine.plan.price import FREE, OF_THE_WORK, Price, PriceLine
from service.engine.plan.price_list import Extra, ExtraOrder, PriceList, refuse_unpriced
from service.engine.plan.sale import (
    CATEGORY,
    PLAIN,
    Allowance,
    FreeLine,
    Sale,
    discounted,
    due,
    rounded,
    taxed,
)
from service.engine.survey.sourced import Texts

PRICE = Formula(
    code="price",
    expression=(
        "amount = round(quantity x unit_price, minor_units); net = sum(amount) - sum(allowance); "
        "work = sum(of_it); work_per_m2 = round(work/sum(area_m2), 2); "
        "tax = round(net x tax_percent/100, minor_units); total = net + tax"
    ),
    source="EN 16931-1 business rules BR-CO-10, BR-CO-13, BR-CO-15 and BR-CO-17",
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


# Code, quantity, unit and unit price of a line.
_Row = tuple[str, float, str, Decimal]


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
    sale: Sale = PLAIN,
    area_m2: float = 0.0,
) -> Price:
    """The price of a job.

    `blowing_hours` are the crew's hours that are charged by the hour, `travel_km`
    all kilometres charged. The volume discount is that of the highest tier reached
    by `mass_kg`, off the material. Where the lines less that stay below the minimum charge,
    a last line lifts them to it; what the office takes off comes after.

    Raises InvalidInput at `/currency`, `/priced_on`, `/material` or
    `/extras/0/code` where the price list does not answer to them.
    """
    refuse_unpriced(
        price_list=price_list,
        currency=currency,
        priced_on=priced_on,
        material_code=material_code,
        extras=extras,
    )
    per_kg = next(row.price for row in price_list.material_per_kg if row.code == material_code)
    ordered = {extra.code: extra for extra in price_list.extras}
    quantities = (mass_kg, blowing_hours, holes, patches, tape_m, strip_m, samples, 1, travel_km)
    rows = _rows(price_list, per_kg, quantities)
    said = {"material": message("plan.price_material", material=material_code)}
    places = price_list.minor_units
    lines = [_line(row, places, said=said.get(row[0], SAID.get(row[0]))) for row in rows]
    lines += [_extra(ordered[order.code], order.quantity, places) for order in extras]
    lines += [_free(line, places) for line in sale.lines]
    off = _volume_discount(price_list, lines[0])
    lines += _lift(price_list, _sum(lines) - _sum(off))
    off += discounted(discount=sale.discount, base=_sum(lines) - _sum(off), places=places)
    stays = {*ordered, FREE}
    kept = tuple(line for line in lines if line.amount or line.code in stays)
    found = _totalled(price_list, kept, off, sale, priced_on)
    return replace(found, work_per_m2=_per_m2(found.work, area_m2))


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


def _free(line: FreeLine, places: int) -> PriceLine:
    return _line((FREE, line.quantity, line.unit, line.unit_price), places, text=line.text)


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


def _volume_discount(price_list: PriceList, material: PriceLine) -> tuple[Allowance, ...]:
    reached = [tier for tier in price_list.discounts if tier.from_kg <= material.quantity]
    if not reached or not material.amount:
        return ()
    tier = max(reached, key=lambda each: each.from_kg)
    said = message(
        "plan.price_volume_discount",
        percent=Quantity(float(tier.percent), "%"),
        least=Quantity(float(tier.from_kg), "kg"),
    )
    off = rounded(value=material.amount * tier.percent / 100, places=price_list.minor_units)
    return (
        Allowance(
            code="volume_discount",
            said=said,
            reason=None,
            base=material.amount,
            percent=tier.percent,
            amount=off,
        ),
    )


def _lift(price_list: PriceList, net: Decimal) -> list[PriceLine]:
    lift = rounded(value=price_list.minimum_charge, places=price_list.minor_units) - net
    if lift <= 0:
        return []
    row = ("minimum_charge", 1, "job", lift)
    return [_line(row, price_list.minor_units, said=message("plan.price_minimum_charge"))]


def _sum(lines: Iterable[PriceLine | Allowance]) -> Decimal:
    return sum((line.amount for line in lines), Decimal(0))


def _per_m2(work: Decimal, area_m2: float) -> Decimal | None:
    return rounded(value=work / Decimal(str(area_m2)), places=2) if area_m2 > 0 else None


def _totalled(
    price_list: PriceList,
    lines: tuple[PriceLine, ...],
    allowances: tuple[Allowance, ...],
    sale: Sale,
    on: date,
) -> Price:
    places = price_list.minor_units
    net = rounded(value=_sum(lines) - _sum(allowances), places=places)
    rate = taxed(case=sale.tax, rates=price_list.taxes, standard=price_list.tax_percent, on=on)
    tax = rounded(value=net * rate.percent / 100, places=places)
    total = net + tax
    return Price(
        lines=lines,
        allowances=allowances,
        net=net,
        work_per_m2=None,
        work=_sum(line for line in lines if line.code in OF_THE_WORK),
        tax_case=rate.case,
        tax_category=CATEGORY[rate.case],
        tax_text=rate.text,
        tax_percent=rate.percent,
        tax=tax,
        total=total,
        payments=due(payments=sale.payments, total=total, places=places),
        currency=price_list.currency,
        price_list=price_list.code,
        provenance=replace(
            PRICE.provenance,
            source=f"{PRICE.source}; {price_list.source}",
            standing=price_list.standing,
        ),
    )
