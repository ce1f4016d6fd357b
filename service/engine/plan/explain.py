"""The working behind a takeoff: for every figure its formula, its inputs and its source.

The formulas are the constants beside the functions that work the figures out, and
the bounds of a density window carry their own; nothing is stated here a second time.
"""

from collections.abc import Iterator
from dataclasses import replace

from service.engine.geometry.plane import Plane
from service.engine.ground.explanation import Explanation, Given, explained
from service.engine.heat.thermal import Stack
from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.plan.explain_filling import explain_filling
from service.engine.plan.explain_geometry import explain_geometry
from service.engine.plan.explain_holes import explain_holes
from service.engine.plan.explain_thermal import explain_thermal
from service.engine.plan.hours import BLOWING_HOURS, JOB_HOURS
from service.engine.plan.options import Way
from service.engine.plan.price import OF_THE_WORK
from service.engine.plan.pricing import PRICE
from service.engine.plan.quantities import BAGS
from service.engine.plan.takeoff import TOTAL, Worked, ordered_kg

OF_PLANS = ("holes", "patches", "tape_m", "strip_m")


def explain(*, worked: Worked) -> tuple[Explanation, ...]:
    """Explain every figure of a takeoff that is worked out, cavity by cavity and then the whole.

    The takeoff was worked out with its workings kept.

    Only the numbers of bays and their widths are not explained: they are a layout,
    and the crew's sheet draws it.
    """
    return (
        *(each for index in range(len(worked.found.cavities)) for each in _cavity(worked, index)),
        *_sums(worked.found.cavities, worked),
        *_job(worked),
        *_price(worked),
    )


def _cavity(worked: Worked, index: int) -> Iterator[Explanation]:
    at, material, working = f"/cavities/{index}", worked.material, worked.workings[index]
    surveyed, planned = worked.building.cavities[index], worked.found.cavities[index]
    yield from explain_geometry(at=at, surveyed=surveyed, planned=planned, laid_out=working.of(Plane))
    yield from explain_filling(
        at=at,
        planned=planned,
        practice=worked.practice,
        working=working,
    )
    yield from explain_holes(at=at, planned=planned, practice=worked.practice, way=working.of(Way))
    yield from explain_thermal(
        at=at, surveyed=surveyed, planned=planned, material=material, met=working.of(Stack)
    )


def _sums(cavities: tuple[CavityTakeoff, ...], worked: Worked) -> Iterator[Explanation]:
    for name in ("mass_kg", "samples"):
        each = [getattr(cavity, name) for cavity in cavities]
        yield explained(f"/{name}", getattr(worked.found, name), TOTAL, each=each)
    for name in OF_PLANS:
        each = [getattr(cavity.fill_plan, name) for cavity in cavities]
        yield explained(f"/{name}", getattr(worked.found, name), TOTAL, each=each)


def _job(worked: Worked) -> Iterator[Explanation]:
    found, practice, rates = worked.found, worked.practice, worked.practice.rates
    hours = [cavity.fill_plan.hours for cavity in found.cavities]
    yield explained(
        "/bags",
        found.bags,
        BAGS,
        mass_kg=ordered_kg(cavities=found.cavities, practice=practice),
        bag_kg=worked.material.bag_kg,
        waste_percent=practice.waste_percent,
    )
    yield explained(
        "/crew_hours",
        found.crew_hours,
        JOB_HOURS,
        set_up_h=rates.set_up_h,
        hours=hours,
        samples=found.samples,
        sample_h=rates.sample_h,
        cleaning_h=rates.cleaning_h,
    )
    yield explained(
        "/blowing_hours",
        found.blowing_hours,
        BLOWING_HOURS,
        hours=hours,
        holes=found.holes,
        hole_h=rates.hole_h,
        patches=found.patches,
        patch_h=rates.patch_h,
    )


def _price(worked: Worked) -> Iterator[Explanation]:
    """The price carries the source of its own prices with it."""
    price, places = worked.found.price, worked.price_list.minor_units
    net, tax_percent = float(price.net), float(price.tax_percent)
    figures = [
        explained(
            f"/price/lines/{place}/amount",
            float(line.amount),
            PRICE,
            quantity=float(line.quantity),
            unit_price=float(line.unit_price),
            minor_units=places,
        )
        for place, line in enumerate(price.lines)
    ]
    amounts = [float(line.amount) for line in price.lines]
    off = [float(allowance.amount) for allowance in price.allowances] or [0.0]
    figures.append(explained("/price/net", net, PRICE, amount=amounts, allowance=off))
    of_it = [float(line.amount) for line in price.lines if line.code in OF_THE_WORK] or [0.0]
    figures.append(explained("/price/work", float(price.work), PRICE, of_it=of_it))
    if price.work_per_m2 is not None:
        area_m2 = [each.geometry.net_area_m2 for each in worked.found.cavities]
        by_area: dict[str, Given] = {"work": float(price.work), "area_m2": area_m2}
        figures.append(explained("/price/work_per_m2", float(price.work_per_m2), PRICE, **by_area))
    figures.append(
        explained("/price/tax", float(price.tax), PRICE, net=net, tax_percent=tax_percent, minor_units=places)
    )
    figures.append(explained("/price/total", float(price.total), PRICE, net=net, tax=float(price.tax)))
    for each in figures:
        yield replace(each, provenance=price.provenance)
