"""What a crew says of a job on its phone, from the first check to the bags that are left."""

from math import pi
from typing import Any

from playwright.sync_api import expect

from tests.phones import Phone

DELIVERED = 330
SPILL_KG = 20
MOISTURE_PERCENT, PRESSURE_KPA = 14, 22


def depth_mm(surveyed: Any) -> float:
    """The depth of a part, as it was drawn."""
    return float(sum(layer["depth_mm"] for layer in surveyed["layers"]))


def bags_of(planned: Any, job: Any) -> float:
    """Bags that a part takes, to half a bag."""
    return round(planned["mass_kg"] / job["material"]["bag_kg"] * 2) / 2


def core_g(planned: Any, surveyed: Any, tool_mm: float) -> float:
    """Grams of a core at the density that is aimed at."""
    target = planned["density"]["target_kg_m3"]["value"]
    return float(round(target * pi / 4 * (tool_mm / 1000) ** 2 * depth_mm(surveyed)))


def sign(phone: Phone, stage: str) -> None:
    """Tick each of the general points, and sign them."""
    phone.follow(phone.at(f"/checks/{stage}"))
    boxes = phone.page.locator(".tick input")
    boxes.first.wait_for()
    for box in boxes.all():
        phone.tap(box)
    phone.save()


def answer(phone: Phone) -> tuple[int, int]:
    """Answer what stands alone, with its reading where it asks for one; returns what moisture cost."""
    points = phone.page.locator("section.point")
    values = taps = 0
    while left := points.count():
        before = phone.values, phone.taps
        field = points.first.locator(".number input")
        name = field.get_attribute("id") if field.count() else None
        if name:
            phone.number(name, PRESSURE_KPA if "blower" in name else MOISTURE_PERCENT)
        phone.tap(points.first.locator(".answers button").first)
        expect(points).to_have_count(left - 1)
        if name and "moisture" in name:
            values, taps = values + phone.values - before[0], taps + phone.taps - before[1]
    return values, taps


def deliver(phone: Phone) -> None:
    """What came on the van."""
    phone.follow(phone.at("/delivery"))
    phone.number("delivered", DELIVERED)
    phone.write("#lot", "L-1")
    phone.save()


def measure(phone: Phone, surveyed: Any) -> None:
    """The depth of the part that is shown."""
    phone.follow(phone.of(surveyed["label"], "/found"))
    phone.number("depth", depth_mm(surveyed))
    phone.save()


def finish(phone: Phone, planned: Any) -> float:
    """The part that is shown is done as planned; returns its bags."""
    bags = bags_of(planned, phone.job)
    phone.number("bags", bags)
    phone.save()
    phone.page.locator(".rows").wait_for()
    return bags


def core(phone: Phone, planned: Any, surveyed: Any, bay: int) -> None:
    """A core of the part that is shown, its hole closed."""
    phone.follow(phone.of(planned["label"], "/core"))
    phone.number("mass_g", core_g(planned, surveyed, phone.job["core_diameter_mm"]))
    phone.choose("bay", str(bay))
    phone.tap(phone.page.locator("#feel button").first)
    phone.save("closed")


def end(phone: Phone, emptied: float) -> None:
    """The end of the last day."""
    phone.follow(phone.at("/day"))
    phone.number("spill", SPILL_KG)
    phone.number("people", 2)
    phone.number("hours", 9)
    phone.number("left", DELIVERED - emptied)
    phone.save()
