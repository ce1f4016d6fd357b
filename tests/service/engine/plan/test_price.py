"""How a price comes about is tested with `pricing`; here is what belongs to the work itself."""

from datetime import date

from service.engine.plan.price import FREE, OF_THE_WORK
from service.engine.plan.price_list import ExtraOrder
from service.engine.plan.pricing import price
from tests.builders import price_list


def test_extras_and_the_office_s_own_lines_are_not_the_work() -> None:
    """Every kind of line that the builders' list can charge, and an extra: 40 m2 of scaffold."""
    found = price(
        price_list=price_list(),
        currency="EUR",
        priced_on=date(2026, 11, 25),
        material_code="CF-STD",
        mass_kg=100.0,
        blowing_hours=1.5,
        holes=10,
        patches=10,
        tape_m=3.0,
        strip_m=5.0,
        samples=2,
        travel_km=20.0,
        extras=(ExtraOrder(code="SCAFFOLD", quantity=40.0),),
    )
    codes = {line.code for line in found.lines}
    assert codes - OF_THE_WORK == {"SCAFFOLD"}
    assert codes | {"minimum_charge", "rounding"} == OF_THE_WORK | {"SCAFFOLD"}
    assert FREE not in OF_THE_WORK
    assert found.work == found.net - 300
