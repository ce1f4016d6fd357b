"""Takeoffs, and jobs that go from one database to another, from the command line."""

import json
import shutil
from pathlib import Path

import pytest

from service.api.sheets import files
from service.app import create_app
from service.settings import Settings
from tests.api import Api
from tests.commands import DEMO, baywright

pytestmark = pytest.mark.usefixtures("papers_plain")

BUILDING = f"{DEMO}/building.json"


def test_a_takeoff_needs_no_database_and_is_the_same_with_one(home: Path, tmp_path: Path) -> None:
    table = baywright(tmp_path, "takeoff", BUILDING)
    assert table.splitlines()[0].split()[0] == "cavity"
    answer = json.loads(baywright(tmp_path, "takeoff", BUILDING, "--json"))
    assert f"{answer['price']['total']} EUR" in table
    assert len(table.splitlines()) >= len(answer["cavities"]) + 4
    assert json.loads(baywright(home, "takeoff", BUILDING, "--json", "--firm", "demo")) == answer
    full = json.loads(baywright(tmp_path, "takeoff", BUILDING, "--working"))
    assert full["cavities"][0]["geometry"]["net_area_m2"] == answer["cavities"][0]["net_area_m2"]
    assert json.loads(baywright(home, "takeoff", BUILDING, "--working", "--firm", "demo")) == full


def test_a_takeoff_goes_by_the_firm_of_a_folder(tmp_path: Path) -> None:
    folder = shutil.copytree(DEMO, tmp_path / "firm")
    assert baywright(tmp_path, "takeoff", BUILDING, "--firm-folder", str(folder)) == baywright(
        tmp_path, "takeoff", BUILDING
    )
    for path in (folder / "price-lists").iterdir():
        path.unlink()
    said = baywright(tmp_path, "takeoff", BUILDING, "--firm-folder", str(folder), code=1)
    assert said.startswith("/currency: Nothing is in force for EUR")
    (folder / "firm.json").unlink()
    assert "firm.json" in baywright(tmp_path, "takeoff", BUILDING, "--firm-folder", str(folder), code=1)
    words = ("takeoff", BUILDING, "--firm-folder", str(folder), "--firm", "demo")
    assert "not by both" in baywright(tmp_path, *words, code=2)


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_a_survey_is_a_spreadsheet_too(home: Path, tmp_path: Path, ending: str) -> None:
    body = json.loads(Path(BUILDING).read_text(encoding="utf-8"))
    survey = tmp_path / f"survey{ending}"
    survey.write_bytes(files.written(body, files.SUFFIXES[ending]))
    table = baywright(tmp_path, "takeoff", BUILDING)
    assert baywright(tmp_path, "takeoff", str(survey)) == table
    said = baywright(home, "quote", str(survey), "--firm", "demo")
    assert said.startswith(table.splitlines()[0])
    assert f"for {body['reference']}." in said.splitlines()[-1]
    survey.write_bytes(files.written({**body, "practice": "none"}, files.SUFFIXES[ending]))
    refused = baywright(home, "quote", str(survey), "--firm", "demo", code=1)
    assert refused.startswith("/practice: ")
    body["cavities"][0]["element"] = "door"
    survey.write_bytes(files.written(body, files.SUFFIXES[ending]))
    assert baywright(home, "quote", str(survey), "--firm", "demo", code=1).startswith("/Survey/")


def test_a_wrong_file_names_its_field(tmp_path: Path) -> None:
    path = tmp_path / "wrong.json"
    path.write_text('{"practice": "eu", "cavities": [{"label": 5}]}')
    said = baywright(tmp_path, "takeoff", str(path), code=1)
    assert "wrong.json#/cavities/0/label" in said
    slip = json.loads(Path(BUILDING).read_text(encoding="utf-8"))
    slip["cavities"][0]["openings"] = [{"width_m": 1, "height_m": 1, "left_m": 400, "sill_m": 0}]
    path.write_text(json.dumps(slip))
    said = baywright(tmp_path, "takeoff", str(path), code=1)
    assert said.startswith("/cavities/0/openings/0/left_m: ")
    # Words, not the code that they stand under.
    assert " " in said.split(": ")[1].strip()
    assert "geometry." not in said
    path.write_text("{")
    assert "not JSON" in baywright(tmp_path, "takeoff", str(path), code=1)


def test_a_job_is_exported_and_comes_back_in_another_database(home: Path, tmp_path: Path) -> None:
    url = f"sqlite:///{home}/baywright/baywright.sqlite3"
    app = create_app(Settings(database_url=url, secret_key="a secret for the tests only"))
    job = Api(app).job()
    app.extensions["database"].dispose()
    archive, again = tmp_path / "job.zip", tmp_path / "again.zip"
    number, of_demo = job["number"], ("--firm", "demo")
    assert number in baywright(home, "export", number, *of_demo, str(archive))
    assert "is there already" in baywright(home, "export", number, *of_demo, str(archive), code=1)
    assert "no job J-1" in baywright(home, "export", "J-1", *of_demo, str(again), code=1)
    assert not again.exists()
    baywright(tmp_path, "migrate")
    damaged = tmp_path / "damaged.zip"
    damaged.write_bytes(archive.read_bytes().replace(b"%PDF-", b"%PDF+", 1))
    assert "damaged" in baywright(tmp_path, "import", str(damaged), code=1)
    assert "0 quotes" in baywright(tmp_path, "check")
    assert f"{number} of demo is here" in baywright(tmp_path, "import", str(archive))
    assert "1 quotes, 0 certificates, 2 files checked; 0 faults" in baywright(tmp_path, "check")
    assert "already" in baywright(tmp_path, "import", str(archive), code=1)
    baywright(tmp_path, "export", number, *of_demo, str(again))
    assert again.read_bytes() == archive.read_bytes()
