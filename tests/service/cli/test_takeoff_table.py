"""The table of a takeoff: a line a cavity, its figures, and the whole below."""

import json
from pathlib import Path

from service.api.firm_files import read_building, read_firm
from service.cli.takeoff_table import HEAD, takeoff_table
from service.settings import Settings
from service.usecases.work import takeoffs
from tests.api import DEMO, NOW, small_building


def test_every_cavity_has_a_line_with_its_figures(tmp_path: Path) -> None:
    path = tmp_path / "building.json"
    path.write_text(json.dumps(small_building()))
    found = takeoffs.of_files(Settings(), read_firm(DEMO), read_building(path), NOW.date())
    lines = takeoff_table(found).splitlines()
    assert tuple(lines[0].split()) == HEAD
    for line, cavity in zip(lines[1:], found["cavities"], strict=False):
        assert line.split()[:2] == [cavity["label"], cavity["element"]]
        assert f"{cavity['mass_kg']:.1f}" in line.split()
        assert f"{cavity['net_volume_m3']:.3f}" in line.split()
    assert len({len(line) for line in lines[:3]}) == 1
    assert f"{found['price']['total']} {found['price']['currency']}" in "\n".join(lines[3:])


def test_what_nobody_vouches_for_is_said_before_anything_is_offered(tmp_path: Path) -> None:
    firm = read_firm(DEMO)
    for practice in firm["practices"]:
        practice["sampling"]["standing"] = "common_practice"
    path = tmp_path / "building.json"
    path.write_text(json.dumps(small_building()))
    found = takeoffs.of_files(Settings(), firm, read_building(path), NOW.date())
    assert [each["pointer"] for each in found["undeclared"]] == ["/sampling"]
    assert "Nobody vouches for the sampling plan: no certificate" in takeoff_table(found).splitlines()[-1]
