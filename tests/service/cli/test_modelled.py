"""A building model becomes a survey to fill in; filled in, it is a draft of what has still to be surveyed."""

from pathlib import Path

from openpyxl import load_workbook

from service.api.firm_files import read_building
from tests.building_models import Model, house
from tests.commands import DEMO, baywright

HEAD = {
    "reference": "SO-IFC",
    "client name": "A client",
    "site address": "Ahornweg 14",
    "site country": "AT",
}


def test_a_model_becomes_a_survey_that_is_filled_in(tmp_path: Path) -> None:
    survey = tmp_path / "survey.xlsx"
    said = baywright(tmp_path, "survey", str(house(tmp_path / "house.ifc")), str(survey))
    assert "Not read: Brick: no layer of it is said to be insulation." in said
    assert "5 parts" in said
    book = load_workbook(survey)
    for name, cell in book["Quote"].iter_rows(max_col=2):
        cell.value = HEAD.get(str(name.value), cell.value)
    book.save(survey)
    body = read_building(survey)
    assert {each["label"]: each["surveyed"] for each in body["cavities"]} == dict.fromkeys(
        ("North", "South", "South (2)", "Floor", "Slope"), "estimated"
    )
    # What is there already is not written over.
    again = baywright(tmp_path, "survey", str(tmp_path / "house.ifc"), str(survey), code=1)
    assert "there already" in again


def test_what_has_nothing_to_read_makes_no_survey(tmp_path: Path) -> None:
    model, survey = Model(), tmp_path / "survey.csv"
    model.layers(model.element("IfcWall", "Brick"), ((365, "LoadBearing"),))
    path = str(model.written(tmp_path / "brick.ifc"))
    assert "Nothing of it" in baywright(tmp_path, "survey", path, str(survey), code=1)
    assert not survey.exists()
    words = ("survey", path, str(survey), "--firm-folder", DEMO, "--firm", "demo")
    assert "not by both" in baywright(tmp_path, *words, code=2)
