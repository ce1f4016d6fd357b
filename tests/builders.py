"""Plain builders with fixed values; a keyword takes the place of any field.

The figures are of a demo firm's kind: data sheet and bands as in trade practice
(from memory); the rest the firm declares as its own.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from service.engine.ground.vocabulary import Element, Facing, Market, Method, Stage, Standing
from service.engine.ground.working import Working
from service.engine.plan.price_list import Extra, MaterialPrice, PriceList, VolumeDiscount
from service.engine.plan.takeoff import Building, Worked, takeoff
from service.engine.survey.cavity import BuildUpLayer, Cavity, Displaced, Framing, Layer, Opening
from service.engine.survey.climate import Climate, MonthClimate
from service.engine.survey.practice import (
    Bulge,
    ChartRow,
    ClosedRow,
    Decision,
    DensityBand,
    HoldPointRule,
    Lance,
    Loading,
    Material,
    Patching,
    Practice,
    Sampling,
    SheetDensity,
)
from service.engine.survey.rates import MethodRates, Rates
from service.engine.survey.uncertainties import READING, SAMPLE, SURVEY, WEIGHING, Uncertainties


def framing(**fields: Any) -> Framing:
    """Members of 45 mm at 625 mm with two plates of 45 mm."""
    return replace(Framing(member_mm=45, spacing_mm=625, plates_mm=90), **fields)


def fraction(share: float = 0.15, **fields: Any) -> Framing:
    """Framing of which only the share of timber is known."""
    return replace(Framing(timber_fraction=share, timber_fraction_u=0.02), **fields)


def layer(depth_mm: float = 145, framing: Framing | None = None) -> Layer:
    """An open layer, or a framed one."""
    return Layer(depth_mm=depth_mm, framing=framing)


def opening(**fields: Any) -> Opening:
    """A window of 1.2 by 1.2 m, counted but not placed."""
    return replace(Opening(width_m=1.2, height_m=1.2), **fields)


def displaced(volume_m3: float = 0.05, **fields: Any) -> tuple[Displaced, ...]:
    """One thing in each cavity that takes room from the fill."""
    return (replace(Displaced(volume_m3=volume_m3), **fields),)


def wall(**fields: Any) -> Cavity:
    """A twin-stud wall of 9.4 x 2.65 m, 360 mm deep: one shared compartment of 15 bays."""
    cavity = Cavity(
        label="W1",
        element=Element.WALL,
        width_m=9.4,
        span_m=2.65,
        layers=(layer(145, framing()), layer(120), layer(95, framing())),
        facing=Facing.MEMBRANE,
    )
    return replace(cavity, **fields)


def stud_wall(**fields: Any) -> Cavity:
    """A wall of one framed layer, 6.0 x 2.5 m, 140 mm deep: 10 bays, each its own compartment."""
    cavity = Cavity(
        label="W2",
        element=Element.WALL,
        width_m=6.0,
        span_m=2.5,
        layers=(layer(140, framing(spacing_mm=600, plates_mm=135)),),
        facing=Facing.MEMBRANE,
    )
    return replace(cavity, **fields)


def floor(**fields: Any) -> Cavity:
    """A floor of 4.2 x 5.4 m, joists 50 at 400 mm, 220 mm deep, one row of blocking."""
    joists = Framing(member_mm=50, spacing_mm=400, blocking_rows=1, blocking_mm=50)
    cavity = Cavity(
        label="F1",
        element=Element.FLOOR,
        width_m=4.2,
        span_m=5.4,
        layers=(layer(220, joists),),
        facing=Facing.BOARD,
    )
    return replace(cavity, **fields)


def roof_slope(**fields: Any) -> Cavity:
    """A roof slope of 8.0 x 5.0 m at 38 degrees, rafters 60 at 625 mm, 240 mm deep."""
    rafters = Framing(member_mm=60, spacing_mm=625)
    cavity = Cavity(
        label="R1",
        element=Element.ROOF_SLOPE,
        width_m=8.0,
        span_m=5.0,
        pitch_deg=38,
        layers=(layer(240, rafters),),
        facing=Facing.MEMBRANE,
    )
    return replace(cavity, **fields)


def attic(**fields: Any) -> Cavity:
    """An attic floor of 10.0 x 8.0 m: 200 mm between joists 50 at 600 mm and 100 mm over them, settled."""
    joists = Framing(member_mm=50, spacing_mm=600)
    cavity = Cavity(
        label="A1",
        element=Element.ATTIC,
        width_m=10.0,
        span_m=8.0,
        layers=(layer(100), layer(200, joists)),
        facing=Facing.NONE,
    )
    return replace(cavity, **fields)


def material(**fields: Any) -> Material:
    """Loose-fill cellulose with a data sheet for walls, floors and roof slopes, and for open blow.

    The charts follow from 0.039 W/(m K), 35 kg/m3 settled, 15 % settlement and bags of 12.5 kg.
    """
    sheet = Material(
        code="CF-STD",
        name="Loose-fill cellulose, standard",
        maker="Demo maker",
        sheet="CF-STD data sheet 1",
        conductivity_w_mk=0.039,
        conductivity_lowest_kg_m3=28,
        conductivity_highest_kg_m3=70,
        densities=(
            SheetDensity(element=Element.WALL, lowest_kg_m3=50, target_kg_m3=55, highest_kg_m3=70),
            SheetDensity(element=Element.FLOOR, lowest_kg_m3=40, target_kg_m3=45, highest_kg_m3=65),
            SheetDensity(element=Element.ROOF_SLOPE, lowest_kg_m3=45, target_kg_m3=50, highest_kg_m3=65),
        ),
        bag_kg=12.5,
        settled_kg_m3=35,
        settlement_percent=15,
        settlement_class="SH 15",
        loadings=(
            Loading(depth_mm=200, density_kg_m3=75),
            Loading(depth_mm=400, density_kg_m3=70),
        ),
        chart=(
            ChartRow(label_r=19, initial_mm=155, settled_mm=131, bags_per_100_m2=36.7, lowest_kg_m2=4.59),
            ChartRow(label_r=30, initial_mm=243, settled_mm=206, bags_per_100_m2=57.7, lowest_kg_m2=7.21),
            ChartRow(label_r=38, initial_mm=308, settled_mm=261, bags_per_100_m2=73.1, lowest_kg_m2=9.14),
            ChartRow(label_r=49, initial_mm=397, settled_mm=337, bags_per_100_m2=94.4, lowest_kg_m2=11.80),
        ),
        closed_chart=(ClosedRow(depth_mm=140, label_r=20, lowest_kg_m3=45, highest_kg_m3=75),),
        mu=2,
        hazards=({"en": "Dust: wear respiratory protection."},),
        source="CF-STD data sheet 1",
        standing=Standing.DECLARED,
    )
    return replace(sheet, **fields)


def band(
    element: Element, lowest_kg_m3: float, target_kg_m3: float, highest_kg_m3: float, **fields: Any
) -> DensityBand:
    """A density band; trade practice, from memory."""
    row = DensityBand(
        element=element,
        lowest_kg_m3=lowest_kg_m3,
        target_kg_m3=target_kg_m3,
        highest_kg_m3=highest_kg_m3,
        source="trade practice, from memory",
        standing=Standing.FROM_MEMORY,
    )
    return replace(row, **fields)


def practice(**fields: Any) -> Practice:
    """An `eu` practice profile, all of it the firm's own; only netting is expected to bulge."""
    ours: dict[str, Any] = {"source": "demo firm", "standing": Standing.DECLARED}
    profile = Practice(
        code="eu",
        name="Demo firm, European practice",
        market=Market.EU,
        bands=(
            band(Element.WALL, 50, 55, 60, depth_up_to_mm=300, span_up_to_m=3),
            band(Element.WALL, 55, 60, 70, depth_over_mm=300),
            band(Element.WALL, 55, 60, 70, span_over_m=3),
            band(Element.ROOF_SLOPE, 45, 50, 55),
            band(Element.FLOOR, 40, 45, 55),
        ),
        sampling=Sampling(one_in_bays=5, at_least=2, last_bay=True, **ours),
        decision=Decision(
            conforming_from=0.95,
            non_conforming_to=0.05,
            source="JCGM 106:2012, probabilities chosen by the firm",
            standing=Standing.DECLARED,
        ),
        rates=Rates(
            set_up_h=1.0,
            hole_h=0.05,
            patch_h=0.08,
            move_h=0.03,
            cleaning_h=0.75,
            sample_h=0.15,
            crew=2,
            methods=(
                MethodRates(method=Method.HOSE, kg_h=350, hole_mm=110, reach_m=3.0, **ours),
                MethodRates(
                    method=Method.SEVERAL_HOSES, kg_h=350, hole_mm=110, reach_m=3.0, per_bay_h=0.1, **ours
                ),
                MethodRates(
                    method=Method.DIVIDED_BAYS,
                    kg_h=350,
                    hole_mm=110,
                    reach_m=3.0,
                    per_bay_h=0.25,
                    strip_per_m=1.0,
                    **ours,
                ),
                MethodRates(method=Method.LANCE, kg_h=600, hole_mm=65, **ours),
                MethodRates(method=Method.OPEN_BLOW, kg_h=500, hole_mm=0, **ours),
            ),
            **ours,
        ),
        patching=Patching(past_hole_mm=50, roll_mm=150, **ours),
        uncertainties=Uncertainties(
            survey=replace(SURVEY, **ours),
            weighing=replace(WEIGHING, **ours),
            reading=replace(READING, **ours),
            sample=replace(SAMPLE, **ours),
        ),
        hold_points=(
            HoldPointRule(
                code="timber_moisture",
                stage=Stage.BEFORE,
                text={
                    "en": "Timber is at most 19 % moist before the cavity is closed; follow the local code."
                },
                per_cavity=True,
                source="CALGreen 4.505.3",
                standing=Standing.PUBLISHED,
            ),
            HoldPointRule(
                code="old_wiring",
                stage=Stage.BEFORE,
                text={"en": "No knob-and-tube wiring is live in the cavity; a licensed electrician decides."},
                built_before=1960,
                source="NEC 394.12(5)",
                standing=Standing.SECOND_HAND,
            ),
            HoldPointRule(
                code="recessed_luminaires",
                stage=Stage.BEFORE,
                text={
                    "en": "Recessed luminaires that must not be buried are boxed out; an electrician decides."
                },
                per_cavity=True,
                elements=(Element.FLOOR, Element.ROOF_SLOPE, Element.ATTIC),
                source="NEC 410.116(B)",
                standing=Standing.SECOND_HAND,
            ),
        ),
        bulges=(Bulge(facing=Facing.NETTING, bulge_mm=20, **ours),),
        source="demo firm",
        standing=Standing.DECLARED,
    )
    return replace(profile, **fields)


def board(**fields: Any) -> BuildUpLayer:
    """Oriented strand board, 15 mm; conductivity of EN 12524, mu 50 (dry, from memory)."""
    return replace(BuildUpLayer(name="board", thickness_mm=15, conductivity_w_mk=0.13, mu=50), **fields)


def month(**fields: Any) -> MonthClimate:
    """A winter month: 20 C and 50 % inside, -5 C and 80 % outside."""
    cold = MonthClimate(inside_c=20, inside_rh_percent=50, outside_c=-5, outside_rh_percent=80)
    return replace(cold, **fields)


def climate(**fields: Any) -> Climate:
    """Poznan's typical year outside, 20 C and 50 % inside."""
    outside = (
        *((0.2, 86), (-1.8, 86), (2.7, 79), (8.3, 68), (13.0, 62), (16.8, 70)),
        *((18.2, 72), (18.4, 72), (13.5, 81), (7.0, 88), (2.2, 91), (-0.1, 93)),
    )
    year = Climate(
        months=tuple(month(outside_c=mean, outside_rh_percent=rh) for mean, rh in outside),
        source="typical year for Poznan (station 12330) of the Polish ministry, in a public repository",
        standing=Standing.SECOND_HAND,
    )
    return replace(year, **fields)


def price_list(**fields: Any) -> PriceList:
    """Made-up prices in euros; every kind of line has one."""
    prices = PriceList(
        code="EUR-1",
        name="Demo prices",
        currency="EUR",
        in_force_from=date(2026, 1, 1),
        valid_days=30,
        tax_percent=Decimal(19),
        material_per_kg=(MaterialPrice(code="CF-STD", price=Decimal("1.35")),),
        blowing_per_hour=Decimal("96.40"),
        hole_each=Decimal("3.15"),
        patch_each=Decimal("4.85"),
        tape_per_m=Decimal("1.22"),
        strip_per_m=Decimal("1.90"),
        set_up=Decimal(145),
        travel_per_km=Decimal("0.92"),
        sample_each=Decimal(18),
        minimum_charge=Decimal(350),
        discounts=(VolumeDiscount(from_kg=Decimal(2000), percent=Decimal(5)),),
        extras=(Extra(code="SCAFFOLD", text={"en": "Scaffold"}, unit="m2", unit_price=Decimal("7.5")),),
        source="demo firm",
        standing=Standing.DECLARED,
    )
    return replace(prices, **fields)


def worked(*cavities: Cavity, **given: Any) -> Worked:
    """The takeoff of these cavities by the demo firm's basis, with other fields of Worked or of Building."""
    basis = {
        "material": material(),
        "practice": practice(),
        "price_list": price_list(),
        "lances": lances(),
    }
    basis |= {name: given.pop(name) for name in basis.keys() & given.keys()}
    building = Building(cavities=cavities, **given)
    workings = tuple(Working() for _ in cavities)
    found = takeoff(
        building=building, currency="EUR", priced_on=date(2026, 11, 25), workings=workings, **basis
    )
    return Worked(building=building, found=found, workings=workings, **basis)


def lances() -> tuple[Lance, ...]:
    """Three lances, from short and thin to long and thick."""
    return (
        Lance(code="L12", length_mm=1200, diameter_mm=45),
        Lance(code="L18", length_mm=1800, diameter_mm=50, curve_deg=15),
        Lance(code="L30", length_mm=3000, diameter_mm=60),
    )
