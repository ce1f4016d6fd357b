"""Every figure on every paper is the record's, rounded by the one rule.

Twice over: no figure may stand on a paper that is not in its facts, and the figures of its tables are
written anew, cell by cell, from the facts with Decimal and without the formats of the papers. The first
page of a certificate has tests of its own (`test_page_one.py`).
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Decimal
from functools import cache
from types import ModuleType
from typing import Any
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import pytest

from service.documents.papers import certificate, crew_sheet, quote
from service.engine.ground.vocabulary import Market
from tests.service.documents import facts
from tests.sources import ROOT

FIGURE = re.compile(r"(?<![\w.,#])(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?(?!\w)")
DIGITS = re.compile(r"\d+(?:\.\d+)?")
FACTORS = {
    # Metres are written in millimetres, and shares in per cent.
    Market.EU: (Decimal(1), Decimal(1000), Decimal(100)),
    # NIST SP 811, appendix B.8 (from memory): ft2, ft3, ft, in, mi, lb, and what follows from these.
    Market.US: (
        *(Decimal(1), Decimal(100)),
        *(1 / Decimal("0.3048") ** power for power in (1, 2, 3)),
        *(
            Decimal("0.3048"),
            1 / Decimal("25.4"),
            1 / Decimal("0.0254"),
            1 / Decimal("0.45359237"),
            Decimal("0.45359237"),
        ),
        Decimal("0.3048") ** 3 / Decimal("0.45359237"),
        Decimal("0.3048") ** 2 / Decimal("0.45359237"),
        *(Decimal("5.678263337"), 1 / Decimal("5.678263337"), Decimal("6.933471799")),
        Decimal("0.0546806649"),
        *(Decimal("1.609344"), 1 / Decimal("1.609344")),
    ),
}
PLACES = range(5)
PAPERS: dict[str, ModuleType] = {"quote": quote, "crew_sheet": crew_sheet, "certificate": certificate}


def rounded(value: float | Decimal, places: int, way: str = ROUND_HALF_EVEN) -> str:
    return str(Decimal(value).quantize(Decimal(1).scaleb(-places), way))


def numbers(stored: Any) -> Iterator[float | Decimal]:
    """Every number in the facts, an amount of money among them."""
    if isinstance(stored, dict | list):
        for each in stored.values() if isinstance(stored, dict) else stored:
            yield from numbers(each)
    elif isinstance(stored, str) and DIGITS.fullmatch(stored):
        yield Decimal(stored)
    elif isinstance(stored, int | float) and not isinstance(stored, bool):
        yield stored


def texts(stored: Any) -> Iterator[str]:
    """Everything that is written in the facts."""
    if isinstance(stored, dict | list):
        for each in [*stored, *stored.values()] if isinstance(stored, dict) else stored:
            yield from texts(each)
    elif isinstance(stored, str):
        yield stored


def worked_out(stored: facts.Facts) -> Iterator[float]:
    """What papers make of the facts by themselves: bags of a mass, one of several alike, rooms added up."""
    bag_kg = stored["material"]["bag_kg"]
    for part in stored.get("parts", ()):
        spaces = part["found"]["compartments"]
        yield sum(space["net_volume_m3"] + space["bulge_volume_m3"] for space in spaces)
        yield part["found"]["mass_kg"] / bag_kg
    for cavity, planned in zip(
        stored.get("cavities", ()), stored.get("takeoff", {}).get("cavities", ()), strict=True
    ):
        yield planned["mass_kg"] / cavity["count"]
        yield planned["mass_kg"] / cavity["count"] / bag_kg
        yield planned["fill_plan"]["hours"] / cavity["count"]


def counted(stored: facts.Facts) -> Iterator[str]:
    """Counts of what a record lists, and the figures of the papers' own sentences."""
    yield from map(str, range(max(len(each) for each in lists(stored)) + 1))
    for path in (ROOT / "service/documents/templates").glob("*.html"):
        yield from DIGITS.findall(path.read_text(encoding="utf-8"))


def lists(stored: Any) -> Iterator[list[Any]]:
    if isinstance(stored, list):
        yield stored
    for each in stored.values() if isinstance(stored, dict) else stored if isinstance(stored, list) else ():
        yield from lists(each)


def admitted(stored: facts.Facts) -> set[str]:
    """Each figure that these facts can be printed as."""
    values = {*numbers(stored), *worked_out(stored)}
    found = {
        rounded(Decimal(value) * factor, places, way)
        for value in values
        for factor in FACTORS[Market(stored["market"])]
        for places in PLACES
        for way in (ROUND_HALF_EVEN, ROUND_CEILING)
    }
    return found.union(counted(stored), *(DIGITS.findall(text) for text in texts(stored)))


def figures(html: str) -> list[str]:
    root = ElementTree.fromstring(html)
    for style in root.iter("style"):
        style.text = ""
    printed = " ".join(root.itertext()).replace("\u202f", "")
    return [each.replace(",", "") for each in FIGURE.findall(printed)]


@cache
def stored_for(paper: str, market: Market) -> facts.Facts:
    """The six parts of `facts`; in the US an open blow is of a row of its label."""
    *others, attic = facts.cavities()
    parts = (*others, replace(attic, label_r=38) if market is Market.US else attic)
    make: facts.Facts = getattr(facts, paper)(parts, market)
    return make


@pytest.mark.parametrize("market", [*Market])
@pytest.mark.parametrize("paper", [*PAPERS])
def test_no_figure_stands_on_a_paper_that_its_facts_have_not(paper: str, market: Market) -> None:
    stored = stored_for(paper, market)
    printed = figures(PAPERS[paper].html(stored))
    assert len(printed) > 150
    assert set(printed) - admitted(stored) == set()


def test_a_figure_that_is_off_in_its_last_place_would_be_found() -> None:
    stored = stored_for("certificate", Market.EU)
    mass_kg = rounded(stored["parts"][0]["found"]["mass_kg"], 1)
    off = rounded(Decimal(mass_kg) + Decimal("0.1"), 1)
    assert {mass_kg, off} - admitted(stored) == {off}


def tables(html: str, css: str) -> list[Element]:
    return [each for each in ElementTree.fromstring(html).iter("table") if each.get("class") == css]


def cells(row: Element) -> list[str]:
    """What stands in the cells of a row beside its head, thousands together."""
    return [" ".join("".join(cell.itertext()).replace("\u202f", "").split()) for cell in row.findall("td")]


def by_head(table: Element) -> dict[str, list[str]]:
    """The rows of a table by the first words of their heads."""
    rows = ((row.find("th[@scope='row']"), row) for row in table.iter("tr"))
    return {(head.text or "").strip(): cells(row) for head, row in rows if head is not None}


def parts_of(stored: facts.Facts) -> Iterable[tuple[str, facts.Facts, facts.Facts]]:
    for cavity, planned in zip(stored["cavities"], stored["takeoff"]["cavities"], strict=True):
        head = f"{cavity['label']} × {cavity['count']}" if cavity["count"] > 1 else cavity["label"]
        yield head, cavity, planned


def test_a_quotations_parts() -> None:
    stored = stored_for("quote", Market.EU)
    (table,) = tables(quote.html(stored), "glance")
    rows = by_head(table)
    for head, _, planned in parts_of(stored):
        area, density, mass, holes, u_value, way = rows[head]
        target = planned["density"] and planned["density"]["target_kg_m3"]["value"]
        assert area == rounded(planned["geometry"]["net_area_m2"], 1)
        assert density == (rounded(target, 1) if target else "–")
        assert mass == rounded(planned["mass_kg"], 1)
        assert holes == str(planned["fill_plan"]["holes"] or "–")
        assert u_value == rounded(planned["thermal"]["u_value_w_m2k"], 3)
        assert f" {rounded(planned['fill_plan']['hours'], 1)} h" in way


def test_a_quotations_price() -> None:
    stored = stored_for("quote", Market.EU)
    price = stored["takeoff"]["price"]
    (table,) = tables(quote.html(stored), "price")
    shown = [cells(row) for row in table.iter("tr") if row.find("th[@scope='row']") is not None]
    lines = [
        [format(Decimal(line["quantity"]).normalize(), "f"), line["unit_price"], line["amount"]]
        for line in price["lines"]
    ]
    assert [[row[0].split(" ")[0], *row[1:]] for row in shown[: len(lines)]] == lines
    totals = [row[2] for row in shown[len(lines) :] if not row[0]]
    discounts = [f"−{each['amount']}" for each in price["allowances"]]
    assert totals == [*discounts, price["net"], price["tax"], price["total"]]


def test_a_crews_parts() -> None:
    stored = stored_for("crew_sheet", Market.EU)
    (table,) = tables(crew_sheet.html(stored), "glance")
    rows = by_head(table)
    for head, cavity, planned in parts_of(stored):
        depth, bags, mass, _, holes, samples, hours, _ = rows[head]
        plan, mass_kg = planned["fill_plan"], planned["mass_kg"] / cavity["count"]
        assert depth == rounded(planned["geometry"]["depth_mm"], 0)
        assert bags == rounded(mass_kg / stored["material"]["bag_kg"], 1)
        assert mass == rounded(mass_kg, 1)
        assert holes == str(len(plan["hole_list"]) or "–")
        assert samples == str(len(plan["proof"]["sampled_bays"] if plan["proof"] else ()) or "–")
        assert hours == rounded(plan["hours"] / cavity["count"], 1)


def test_a_crews_targets_bay_by_bay() -> None:
    stored = stored_for("crew_sheet", Market.EU)
    heads = [
        " ".join("".join(cell.itertext()).split())
        for table in tables(crew_sheet.html(stored), "blanks")
        for cell in table.iter("th")
        if cell.get("class") == "bay"
    ]
    loads = [
        load for _, _, planned in parts_of(stored) for load in planned["loads"] if len(load["bays"]) == 1
    ]
    assert loads
    for load in loads:
        assert f"{load['label'].rpartition('/')[2]}: {rounded(load['mass_kg'], 1)}" in heads


def test_a_certificates_build_ups() -> None:
    record = stored_for("certificate", Market.EU)
    shown = tables(certificate.html(record), "layers")
    for part in record["parts"]:
        thermal, cavity = part["planned"]["thermal"], part["cavity"]
        within = [by_head(table) for table in shown]
        whole = [rows for rows in within for head in rows if head.startswith("Whole element")]
        assert whole
        names = {each["name"]: each for each in (*cavity["outside"], *cavity["inside"])}
        mine = [rows for rows in within if set(names) <= set(rows)]
        assert mine
        for name, layer in names.items():
            assert rows_have(mine, name, rounded(layer["thickness_mm"], 1).removesuffix(".0"))
        ends = [course["resistance_m2k_w"] for course in thermal["courses"]]
        assert all(any(covers(row[1], end) for rows in mine for row in rows.values()) for end in ends)


def rows_have(tables_: list[dict[str, list[str]]], name: str, thickness: str) -> bool:
    return any(rows[name][0] == thickness for rows in tables_)


def covers(printed: str, resistance: float) -> bool:
    """Whether a printed resistance, or the span or sum of two, has this one in it."""
    shown = [Decimal(each) for each in re.findall(r"\d+\.\d\d", printed)]
    value = Decimal(rounded(resistance, 2))
    return bool(shown) and (("+" in printed and value in shown) or min(shown) <= value <= max(shown))


def test_a_certificates_densities() -> None:
    record = stored_for("certificate", Market.EU)
    rows = by_head(tables(certificate.html(record), "dense")[1])
    dense = [part for part in record["parts"] if part["planned"]["density"]]
    assert len(dense) == 5
    for part in dense:
        window, room, balance, samples, probability, _ = rows[part["cavity"]["label"]]
        spaces = part["found"]["compartments"]
        bounds = [part["planned"]["density"][f"{end}_kg_m3"]["value"] for end in ("lowest", "highest")]
        assert window == "–".join(rounded(bound, 1) for bound in bounds)
        assert room == rounded(sum(each["net_volume_m3"] + each["bulge_volume_m3"] for each in spaces), 2)
        for space in spaces:
            if space["mass_balance"]:
                assert rounded(space["mass_balance"]["density_kg_m3"], 1) in balance
            for sample in space["samples"]:
                assert f"{sample['bay']}: " in samples
                assert rounded(sample["density_kg_m3"], 1) in samples
        least = min(space["achieved"]["probability"] for space in spaces if space["achieved"])
        shown = "> 99.9" if least > 0.999 else "< 0.1" if least < 0.001 else rounded(100 * least, 1)
        assert probability in (shown, shown.removesuffix(".0"))


def test_a_certificates_holes() -> None:
    record = stored_for("certificate", Market.EU)
    rows = by_head(tables(certificate.html(record), "dense")[2])
    assert len(rows) == len([each for each in record["holes"] if each["planned"] or each["made"]])
    for found in record["holes"]:
        if found["cavity"] in rows:
            entries, _, closed = rows[found["cavity"]]
            assert str(found["stated"] or found["made"]) in FIGURE.findall(entries)
            assert closed.startswith(f"all {found['made'] + found['others']}")


def test_an_attics_card() -> None:
    record = stored_for("certificate", Market.EU)
    (part,) = [each for each in record["parts"] if each["planned"]["open_blow"]]
    (row,) = [
        row
        for row in ElementTree.fromstring(certificate.html(record)).iter("tr")
        if row.get("class") == "big"
    ]
    blown, settled, resistance, area, bags = cells(row)
    assert blown == f"{rounded(part['found']['open_blow']['thickness']['thickness_mm'], 0)} mm"
    assert settled == f"{rounded(part['planned']['open_blow']['settled_mm'], 0, ROUND_CEILING)} mm"
    as_found = next((each for each in record["as_found"] if each["cavity"] == part["cavity"]["label"]), None)
    assert resistance == rounded((as_found or part["planned"]["thermal"])["r_fill"], 2)
    assert area == f"{rounded(part['planned']['geometry']['net_area_m2'], 1)} m²"
    assert bags == rounded(part["found"]["mass_kg"] / record["material"]["bag_kg"], 1)
