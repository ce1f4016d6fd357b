"""A firm and a building as files: read as strictly as what is posted, and faults name file and field."""

import json
import shutil
from pathlib import Path

import pytest

from service.api.firm_files import read_building, read_firm
from service.errors import InvalidInput
from tests.api import DEMO


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo firm's files, to be changed."""
    return shutil.copytree(DEMO, tmp_path / "firm")


def test_everything_of_a_firm_is_read() -> None:
    firm = read_firm(DEMO)
    assert firm["code"] == "demo"
    for kind, name in (("materials", "materials"), ("price_lists", "price-lists"), ("practices", "practice")):
        assert len(firm[kind]) == len(list((DEMO / name).glob("*.json"))) > 0
    assert firm["lances"]


def test_a_wrong_member_is_named_with_its_file(folder: Path) -> None:
    path = next(iter(sorted((folder / "materials").glob("*.json"))))
    sheet = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps({**sheet, "colour": "grey"}), encoding="utf-8")
    with pytest.raises(InvalidInput) as raised:
        read_firm(folder)
    assert [fault.pointer for fault in raised.value.faults] == [f"{path.name}#/colour"]


def test_a_missing_file_and_one_that_is_not_json_are_named(folder: Path) -> None:
    (folder / "lances.json").write_text("[", encoding="utf-8")
    with pytest.raises(InvalidInput, match="body_not_json") as raised:
        read_firm(folder)
    assert [fault.pointer for fault in raised.value.faults] == ["lances.json"]
    (folder / "lances.json").unlink()
    with pytest.raises(InvalidInput) as raised:
        read_firm(folder)
    assert [fault.pointer for fault in raised.value.faults] == ["lances.json"]


def test_a_building_is_read_as_a_quote_is(tmp_path: Path) -> None:
    assert len(read_building(DEMO / "building.json")["cavities"]) > 10
    with pytest.raises(InvalidInput, match="missing"):
        read_building(tmp_path / "none.json")
