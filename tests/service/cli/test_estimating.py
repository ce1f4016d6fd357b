"""An estimate on the terminal, from what was told on the telephone."""

import json
from pathlib import Path

import pytest

from tests.commands import DEMO, baywright

WALL = "wall 120 m2 360 mm"


def test_an_estimate_needs_no_database_and_is_the_same_with_one(home: Path, tmp_path: Path) -> None:
    table = baywright(tmp_path, "estimate", WALL, "attic 90 m2 380 mm")
    found = json.loads(baywright(tmp_path, "estimate", WALL, "attic 90 m2 380 mm", "--json"))
    assert f"{found['total']['least']} to {found['total']['most']} EUR" in table
    assert found["needs"][0]["text"] in table
    assert found["parts"][0]["rests_on"]["text"] in table
    words = ("estimate", WALL, "attic 90 m2 380 mm", "--json", "--firm", "demo")
    assert json.loads(baywright(home, *words)) == found


def test_feet_and_inches_are_exact(tmp_path: Path) -> None:
    us = ("--practice", "us", "--material", "CF-US", "--currency", "USD", "--json")
    (part,) = json.loads(baywright(tmp_path, "estimate", "wall 1000 ft2 3.5 in", *us))["parts"]
    # 1 ft2 = 0.092 903 04 m2 and 1 in = 25.4 mm, both exact (NIST SP 811, B.8).
    assert (part["area_m2"], part["depth_mm"]) == (pytest.approx(92.90304), pytest.approx(88.9))


def test_an_attic_in_the_us_is_of_a_row_of_its_label(tmp_path: Path) -> None:
    """16 CFR 460.12(b)(2): an open blow is bought by the chart, and its row can be said here, too."""
    us = ("--practice", "us", "--material", "CF-US", "--currency", "USD")
    refused = baywright(tmp_path, "estimate", "attic 1200 ft2 14 in", *us, code=1)
    assert refused.startswith("/parts/0/label_r: ")
    words = ("estimate", "attic 1200 ft2 14 in R-49", *us, "--json")
    found = json.loads(baywright(tmp_path, *words))
    # 8.86 kg/m2 of the chart's R-49, 3 % of waste and the guard band more: at least so much for 111.48 m2.
    assert found["mass_kg"]["most"] > 8.86 * 1200 * 0.09290304
    assert "/parts/0/label_r" in baywright(tmp_path, "estimate", "attic 1200 ft2 14 in R-50", *us, code=1)


@pytest.mark.parametrize("said", ["wall 120 m 360 mm", "wall 120,5 m2 360 mm", "door 2 m2 360 mm", "wall"])
def test_what_is_told_otherwise_is_refused(tmp_path: Path, said: str) -> None:
    refused = baywright(tmp_path, "estimate", WALL, said, code=1)
    assert refused.startswith("/parts/1: ")
    assert said in refused


def test_a_firm_is_named_once(tmp_path: Path) -> None:
    words = ("estimate", WALL, "--firm-folder", DEMO, "--firm", "demo")
    assert "not by both" in baywright(tmp_path, *words, code=2)
    assert "/material" in baywright(tmp_path, "estimate", WALL, "--material", "NONE", code=1)
