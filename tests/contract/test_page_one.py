"""Every figure of the table on a certificate's first page is the record's, rounded once.

Written anew from the record with Decimal, halves to even, and without the formats of the papers.
"""

from collections.abc import Iterator
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Decimal
from typing import Any
from xml.etree import ElementTree

import pytest

from service.documents.papers import certificate
from service.engine.ground.vocabulary import Market
from tests.service.documents import facts

M2_PER_FT2 = Decimal("0.09290304")
MM_PER_IN = Decimal("25.4")
"""The international foot and inch, exact (NIST SP 811, appendix B.8; from memory)."""


def rounded(value: float | Decimal, places: int, way: str = ROUND_HALF_EVEN) -> str:
    return f"{Decimal(value).quantize(Decimal(1).scaleb(-places), way):,}"


def rows(html: str) -> dict[str, list[str]]:
    """The cells of the first page's table by the part that they are of."""
    table = next(each for each in ElementTree.fromstring(html).iter("table") if each.get("class") == "glance")
    found = {}
    for row in table.iter("tr"):
        head = row.find("th[@scope='row']")
        if head is not None:
            place = head.find("span[@class='place']")
            name = said(head) if place is None else said(head).removesuffix(said(place)).strip()
            found[name] = [said(cell) for cell in row.findall("td")]
    return found


def said(element: ElementTree.Element) -> str:
    return " ".join("".join(element.itertext()).split())


def found_of(part: dict[str, Any], record: dict[str, Any]) -> dict[str, Any] | None:
    label = part["cavity"]["label"]
    return next((each for each in record["as_found"] if each["cavity"] == label), None)


def bags(part: dict[str, Any], record: dict[str, Any]) -> str:
    counted = part["found"]["bags"]
    return rounded(part["found"]["mass_kg"] / record["material"]["bag_kg"] if counted is None else counted, 1)


@pytest.fixture(scope="module")
def european() -> dict[str, Any]:
    return facts.certificate()


def test_area_mass_and_bags_in_europe(european: dict[str, Any]) -> None:
    shown = rows(certificate.html(european))
    assert len(shown) == len(european["parts"]) == 6
    for part in european["parts"]:
        area, _, mass, in_bags, *_ = shown[part["cavity"]["label"]]
        as_found = found_of(part, european) if part["planned"]["density"] else None
        source = as_found or part["planned"]["geometry"]
        assert area == rounded(source["net_area_m2"], 1)
        assert mass.replace("\u202f", ",") == rounded(part["found"]["mass_kg"], 1)
        assert in_bags.rstrip("²") == bags(part, european)


def test_depth_and_u_value_in_europe(european: dict[str, Any]) -> None:
    shown = rows(certificate.html(european))
    for part in european["parts"]:
        _, depth, *_, u_value, result = shown[part["cavity"]["label"]]
        as_found, planned = found_of(part, european), part["planned"]
        u_w_m2k = (as_found or planned["thermal"])["u_value_w_m2k"]
        conforms = part["found"]["verdict"] == "conforming"
        assert u_value == (rounded(u_w_m2k, 3) if conforms else f"({rounded(u_w_m2k, 3)})")
        assert conforms is result.startswith("✓")
        if planned["density"]:
            source = as_found or planned["geometry"]
            assert depth.rstrip("¹") == rounded(source["depth_mm"], 0)
        else:
            blown = part["found"]["open_blow"]["thickness"]["thickness_mm"]
            settled = rounded(planned["open_blow"]["settled_mm"], 0, ROUND_CEILING)
            assert depth == f"{rounded(blown, 0)} → {settled}"


def readings(record: Any) -> Iterator[dict[str, Any]]:
    """Every density with its expanded uncertainty that stands anywhere in this piece of the record."""
    if isinstance(record, dict):
        if {"density_kg_m3", "expanded_u_kg_m3"} <= set(record):
            yield record
        for value in record.values():
            yield from readings(value)
    elif isinstance(record, list):
        for value in record:
            yield from readings(value)


def test_a_density_is_a_reading_of_the_record_with_its_uncertainty(european: dict[str, Any]) -> None:
    shown = rows(certificate.html(european))
    dense = [part for part in european["parts"] if part["planned"]["density"]]
    assert len(dense) == 5
    for part in dense:
        densities, _, uncertainty = shown[part["cavity"]["label"]][4].partition(" ± ")
        known = list(readings(part["found"]["compartments"]))
        for printed, name in (
            *((each, "density_kg_m3") for each in densities.split("–")),
            (uncertainty, "expanded_u_kg_m3"),
        ):
            places = len(printed.partition(".")[2])
            assert printed in {rounded(each[name], places) for each in known}


def test_areas_and_depths_in_the_us_are_in_feet_and_inches() -> None:
    *others, attic = facts.cavities()
    record = facts.certificate((*others, replace(attic, label_r=38)), Market.US)
    shown = rows(certificate.html(record))
    for part in record["parts"]:
        area, depth, settled, *_ = shown[part["cavity"]["label"]]
        as_found, plan = found_of(part, record), part["planned"]["open_blow"]
        m2 = plan["area_m2"] if plan else (as_found or part["planned"]["geometry"])["net_area_m2"]
        assert area == rounded(Decimal(m2) / M2_PER_FT2, 0)
        if plan:
            blown = part["found"]["open_blow"]["thickness"]["thickness_mm"]
            assert depth == rounded(Decimal(blown) / MM_PER_IN, 1)
            # A thousandth of the last place is floating-point dust.
            least = Decimal(plan["settled_mm"]) / MM_PER_IN - Decimal("0.0001")
            assert settled == rounded(least, 1, ROUND_CEILING)
