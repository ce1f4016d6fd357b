"""A certificate of many parts has a few lines for all on its first page, and each by itself after it."""

from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import pytest

from service.documents.papers import certificate
from service.documents.papers.build_ups import build_ups
from service.documents.papers.certified import certified
from service.documents.papers.in_short import LARGE, in_short
from service.documents.wording.formats import Units
from tests.service.documents import facts


def record(parts: int) -> dict[str, Any]:
    kinds = facts.cavities()[:5]
    alike = (replace(kinds[i % len(kinds)], label=f"P{i + 1}", count=1) for i in range(parts))
    return facts.certificate(tuple(alike), off=None)


@pytest.fixture(scope="module")
def large() -> dict[str, Any]:
    return record(LARGE + 2)


def said(element: ElementTree.Element) -> str:
    return " ".join("".join(element.itertext()).split())


def tables(html: str) -> list[ElementTree.Element]:
    return [each for each in ElementTree.fromstring(html).iter("table") if each.get("class") == "glance"]


def test_up_to_a_page_of_parts_each_has_its_line() -> None:
    (glance,) = tables(certificate.html(record(6)))
    assert "P6" in said(glance)


def test_of_more_the_first_page_has_a_line_for_each_build_up(large: dict[str, Any]) -> None:
    first, glance = tables(certificate.html(large))
    lines = [[said(cell) for cell in row] for row in first.findall("tbody/tr")]
    counts = [int(line[1]) for line in lines]
    assert sum(counts) == LARGE + 2
    mass_kg = sum(part["found"]["mass_kg"] for part in large["parts"])
    assert sum(float("".join(line[2].split())) for line in lines) == pytest.approx(mass_kg, abs=len(lines))
    rows = [said(row) for row in glance.findall("tbody/tr")]
    assert sum(row.startswith("P") for row in rows) == LARGE + 2


def test_a_part_that_fails_shows_in_its_line(large: dict[str, Any]) -> None:
    failed = {**large["parts"][0], "found": {**large["parts"][0]["found"], "verdict": "non_conforming"}}
    spoilt = {**large, "parts": [failed, *large["parts"][1:]]}
    first, _ = tables(certificate.html(spoilt))
    (flagged,) = first.findall("tbody/tr[@class='flag']")
    assert ": 1" in said(flagged)


def test_what_is_not_known_of_one_is_said_of_none() -> None:
    parts = [
        {**certified(part, stored, Units.of(stored))} for stored in [record(41)] for part in stored["parts"]
    ]
    parts[0] |= {"bags": None, "density": None}
    first, *others = in_short(build_ups(parts)) or []
    assert (first.bags, first.density) == (None, None)
    assert all(each.bags is not None for each in others)
