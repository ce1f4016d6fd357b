"""Facts for the documents' tests, as the service stores them: the engine's results as plain JSON.

A made-up job: people, places and numbers are specimens.
"""

import json
from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import rfc8785

from service.engine.ground.vocabulary import Facing, Market, Stage, Standing
from service.engine.plan.price_list import Extra, ExtraOrder, MaterialPrice, PriceList, VolumeDiscount
from service.engine.plan.takeoff import Building, Takeoff, takeoff
from service.engine.site.assessment import Planned, assess
from service.engine.site.condition import Condition
from service.engine.site.entries import AirTest
from service.engine.site.findings import CavityFinding
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import HoldPointRule, Material, Practice, Reading
from service.usecases.base.json import to_json
from tests import builders
from tests.service.documents.site import ledger

Facts = dict[str, Any]

FIRM = {
    "code": "specimen",
    "name": "Specimen Insulation",
    "address": "1 Sample Yard, 00001 Sampleton",
    "email": "office@specimen.example",
    "phone": "+00 000 0001",
}
CLIENT = {"name": "A. Specimen", "email": "client@specimen.example"}
SITE = {"address": "7 Placeholder Lane\n00002 Sampleton", "country": "AT", "built_year": 1958}


def plain(value: Any) -> Any:
    """An engine's result as it comes back from a stored record."""
    return json.loads(json.dumps(to_json(value)))


def material(**fields: Any) -> Material:
    return builders.material(
        name="Cellulose fibre, loose fill", maker="Specimen Fibre Works", sheet="DoP CF-STD-2026-01", **fields
    )


def practice(market: Market = Market.EU) -> Practice:
    profile = builders.practice(market=market, code=market.value)
    after = HoldPointRule(
        code="ventilation",
        stage=Stage.AFTER,
        text={"en": "Ventilation paths at eaves and ridge are open along their whole length."},
        source="BS 5250",
        standing=Standing.SECOND_HAND,
    )
    moisture = Reading(unit="%", most=20.0)
    measured = tuple(
        replace(each, reading=moisture) if each.code == "timber_moisture" else each
        for each in profile.hold_points
    )
    errors = profile.uncertainties
    weighing = replace(errors.weighing, run_empty_half_kg=0.2)
    survey = replace(errors.survey, drawn=errors.survey.counted)
    exact = replace(errors, weighing=weighing, survey=survey)
    return replace(profile, hold_points=(*measured, after), uncertainties=exact)


def price_list(currency: str = "EUR") -> PriceList:
    return PriceList(
        code=f"{currency.lower()}-2026",
        name="Specimen prices",
        currency=currency,
        in_force_from=date(2026, 1, 1),
        valid_days=30,
        tax_percent=Decimal("20"),
        material_per_kg=(MaterialPrice(code="CF-STD", price=Decimal("1.18")),),
        blowing_per_hour=Decimal("96.00"),
        hole_each=Decimal("2.40"),
        patch_each=Decimal("3.10"),
        tape_per_m=Decimal("0.95"),
        strip_per_m=Decimal("1.80"),
        set_up=Decimal("140.00"),
        travel_per_km=Decimal("0.65"),
        sample_each=Decimal("12.00"),
        minimum_charge=Decimal("600"),
        discounts=(VolumeDiscount(from_kg=Decimal("1000"), percent=Decimal("3")),),
        extras=(Extra(code="air_test", text={"en": "Air test"}, unit="piece", unit_price=Decimal("280.00")),),
        source="specimen",
        standing=Standing.DECLARED,
    )


def cavities() -> tuple[Cavity, ...]:
    """Six parts of every kind: shared and single bays, placed and counted openings, open blow.

    The gable's bays are closed off, but its doors have no place: they are balanced together.
    """
    board = builders.board()
    plaster = builders.board(name="plasterboard", thickness_mm=12.5, conductivity_w_mk=0.25, mu=10)
    window = builders.opening(width_m=1.4, height_m=1.2, trim_mm=45, left_m=2.6, sill_m=0.9)
    door = builders.opening(width_m=0.9, height_m=2.1, trim_mm=45, sill_m=0.0)
    shell = {"outside": (board,), "inside": (plaster,)}
    return (
        builders.wall(label="W1 south", openings=(window,), **shell),
        builders.wall(label="W2 north", width_m=7.2, **shell),
        builders.stud_wall(label="W3 gable", openings=(door,), facing=Facing.NETTING, count=2, **shell),
        builders.floor(label="F1", place="over the cellar", **shell),
        builders.roof_slope(label="R1 west", **shell),
        builders.attic(label="A1", inside=(plaster,)),
    )


def a_few() -> tuple[Cavity, ...]:
    """Three small ones of these: a shared wall, one of single bays, an open blow."""
    wall, gable, attic = (cavities()[place] for place in (1, 2, 5))
    return replace(wall, width_m=2.0), replace(gable, width_m=2.4, count=1, openings=()), attic


def worked_out(parts: tuple[Cavity, ...], market: Market = Market.EU, currency: str = "EUR") -> Takeoff:
    return takeoff(
        building=Building(
            cavities=parts,
            built_year=SITE["built_year"],
            travel_km=38,
            extras=(ExtraOrder(code="air_test", quantity=1),),
        ),
        material=material(),
        practice=practice(market),
        lances=builders.lances(),
        price_list=price_list(currency),
        currency=currency,
        priced_on=date(2026, 11, 1),
    )


def _common(parts: tuple[Cavity, ...], market: Market, currency: str) -> Facts:
    return {
        "reference": "SO-2041",
        "firm": FIRM,
        "client": CLIENT,
        "site": SITE,
        "market": market.value,
        "language": "en",
        "material": plain(material()),
        "practice": plain(practice(market)),
        "cavities": plain(parts),
        "takeoff": plain(worked_out(parts, market, currency)),
    }


def quote(parts: tuple[Cavity, ...] | None = None, market: Market = Market.EU) -> Facts:
    """An offer."""
    return _common(parts or cavities(), market, "EUR") | {
        "number": "Q-2026-0007",
        "revision": 1,
        "body": {"notes": None, "starts_on": None, "display": None},
        "state": "offered",
        "offered_at": "2026-11-02T09:15:00Z",
        "valid_until": "2026-12-02",
    }


def crew_sheet(parts: tuple[Cavity, ...] | None = None, market: Market = Market.EU) -> Facts:
    """The job that became of it."""
    return _common(parts or cavities(), market, "EUR") | {
        "job_number": "J-2026-0005",
        "quote_number": "Q-2026-0007",
    }


def outcome(findings: Iterable[CavityFinding], conceded: Iterable[Condition]) -> Facts:
    """What a certificate for all of these parts says at a glance."""
    return {
        "parts": [
            {"cavity": each.label, "verdict": each.verdict and each.verdict.value} for each in findings
        ],
        "not_part": [],
        "concessions": [
            {"condition": each.code.value, "cavity": each.cavity, "subjects": [each.subject]}
            for each in conceded
        ],
    }


def certificate(
    parts: tuple[Cavity, ...] | None = None, market: Market = Market.EU, *, off: str | None = "F1"
) -> Facts:
    """The record of a certificate; the part named by `off` got too little, and a concession was granted."""
    parts = parts or cavities()
    plan = worked_out(parts, market)
    entries = ledger(parts, plan, off)
    found = assess(
        cavities=tuple(
            Planned(
                cavity=cavity,
                geometry=each.geometry,
                compartments=each.compartments,
                density=each.density,
                open_blow=each.open_blow,
                holes=each.fill_plan.holes,
                hole_list=each.fill_plan.hole_list,
            )
            for cavity, each in zip(parts, plan.cavities, strict=True)
        ),
        hold_points=plan.hold_points,
        ledger=entries.in_order(),
        material=material(),
        practice=practice(market),
    )
    common = _common(parts, market, "EUR")
    planned = common.pop("takeoff")["cavities"]
    rows = zip(common.pop("cavities"), planned, found.cavities, strict=True)
    concessions = {(each.code, each.cavity): each for each in found.conditions if each.concedable}
    return common | {
        "format": "baywright-record-1",
        "number": "BW-2026-0001",
        "issued_at": "2026-11-24T15:02:00Z",
        "signed_by": "S. Signatory",
        "signature": "firm",
        "engine": plan.engine,
        "quote_number": "Q-2026-0007",
        "job_number": "J-2026-0005",
        "parts": [
            {"cavity": cavity, "planned": each, "found": plain(finding)} for cavity, each, finding in rows
        ],
        "holes": plain(found.holes),
        "as_found": plain(found.as_found),
        "hold_points": plain(found.hold_points),
        "outcome": outcome(found.cavities, concessions.values()),
        "concessions": [
            {
                "condition": code.value,
                "cavity": cavity,
                "subjects": [concessions[code, cavity].subject],
                "reason": "The client accepts the lower density; the floor lies level and is not walked on.",
                "granted_by": "O. Office",
                "granted_at": "2026-11-24T14:40:00Z",
            }
            for code, cavity in concessions
        ],
        "air_tests": plain(entries.of(AirTest)),
        "filled_from": "2026-11-23T08:10:00Z",
        "filled_until": "2026-11-23T11:40:00Z",
        "lots": list(entries.lots),
        "stock": plain(found.stock),
        "whereabouts": plain(found.whereabouts),
        "rules": plain(found.rules),
        "photos": [],
        "corrections": 1,
        "doubtful_clocks": 1,
        "supersedes": [],
        "verify_url": "https://specimen.example/verify/BW-2026-0001",
    }


def canonical(record: Facts) -> bytes:
    """The record's canonical bytes, as the use case has them."""
    return bytes(rfc8785.dumps(record))
