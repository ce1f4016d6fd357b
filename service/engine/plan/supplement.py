"""What a supplement adds to a job: the job with it, less the job before.

Both are worked out as one building, by the same basis: so set-up and the minimum charge are in
both and are paid once, and a volume discount is that of the whole.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from itertools import zip_longest
from typing import Annotated, TypeVar

from service.engine.ground.messages import message
from service.engine.ground.shapes import Hours, Kilograms, Metres
from service.engine.plan.price import FREE, Price, PriceLine
from service.engine.plan.sale import Allowance, rounded
from service.engine.plan.takeoff import Takeoff

ROUNDING = "rounding"
"""Code of the line that rounding comes to."""

Line = TypeVar("Line", PriceLine, Allowance)


@dataclass(frozen=True, slots=True, kw_only=True)
class More:
    """What a job takes more by a supplement; less, where it is below nought."""

    mass_kg: Annotated[Kilograms, "material"]
    bags: Annotated[int, "bags to order, with waste"]
    holes: Annotated[int, "holes to make"]
    patches: Annotated[int, "patches to set"]
    tape_m: Annotated[Metres, "tape"]
    strip_m: Annotated[Metres, "dividing strip"]
    samples: Annotated[int, "samples to take"]
    crew_hours: Annotated[Hours, "all hours on site"]
    blowing_hours: Annotated[Hours, "hours that are charged by the hour"]


def more(*, before: Takeoff, after: Takeoff) -> More:
    """What the job takes more after the supplement than before it."""
    names = [field.name for field in fields(More)]
    return More(**{name: getattr(after, name) - getattr(before, name) for name in names})


def difference(*, before: Price, after: Price) -> Price:
    """The price of what came between two prices of one job, line by line; it is due after the work.

    A line has what is more of its quantity at its unit price, rounded. What the coins of the two
    prices come to otherwise has a line of its own, so that all is the difference of the nets to the coin.
    """
    lines, allowances = tuple(_differences(before, after)), tuple(_taken_off(before, after))
    net = after.net - before.net
    off = net - sum((line.amount for line in lines), Decimal(0))
    return replace(
        after,
        lines=(*lines, *_rounding(off + sum((each.amount for each in allowances), Decimal(0)))),
        allowances=allowances,
        net=net,
        work=after.work - before.work,
        work_per_m2=None,
        tax=after.tax - before.tax,
        total=after.total - before.total,
        payments=(),
    )


def _differences(before: Price, after: Price) -> Iterator[PriceLine]:
    codes = dict.fromkeys(line.code for line in (*after.lines, *before.lines) if line.code != FREE)
    for code in codes:
        yield from _difference(_one(before.lines, code), _one(after.lines, code))
    free = ([line for line in price.lines if line.code == FREE] for price in (before, after))
    for old, new in zip_longest(*free):
        yield from _difference(old, new)


def _taken_off(before: Price, after: Price) -> Iterator[Allowance]:
    """What is taken off more; less, where it is below nought."""
    for code in dict.fromkeys(each.code for each in (*after.allowances, *before.allowances)):
        old, new = _one(before.allowances, code), _one(after.allowances, code)
        it = new or old
        assert it is not None
        if amount := _amount(new) - _amount(old):
            base = (new.base if new else Decimal(0)) - (old.base if old else Decimal(0))
            yield replace(it, base=base, amount=amount)


def _one(lines: Iterable[Line], code: str) -> Line | None:
    return next((line for line in lines if line.code == code), None)


def _difference(old: PriceLine | None, new: PriceLine | None) -> Iterator[PriceLine]:
    line = new or old
    assert line is not None
    amount = _amount(new) - _amount(old)
    if not amount:
        return
    if old and new and old.unit_price != new.unit_price:
        yield replace(line, quantity=Decimal(1), unit="job", unit_price=amount, amount=amount)
        return
    quantity = Decimal((new.quantity if new else 0) - (old.quantity if old else 0))
    places = -int(amount.as_tuple().exponent)
    yield replace(line, quantity=quantity, amount=rounded(value=quantity * line.unit_price, places=places))


def _rounding(amount: Decimal) -> Iterator[PriceLine]:
    """What rounding comes to; its unit price is not below nothing (EN 16931-1, BR-27)."""
    if amount:
        one = Decimal(1).copy_sign(amount)
        said = message("plan.price_rounding")
        yield PriceLine(
            code=ROUNDING,
            said=said,
            text={},
            quantity=one,
            unit="job",
            unit_price=abs(amount),
            amount=amount,
        )


def _amount(line: PriceLine | Allowance | None) -> Decimal:
    return line.amount if line else Decimal(0)
