"""Material values against published tables.

`ht` reprints EN 12524:2000 and ASHRAE's handbook (keys are looked up exactly: its
search by likeness takes loose-fill cellulose for cellular glass). `teaser` holds
materials of building simulation, named by UUID because names repeat; its file is
read without importing the package, which would make a folder at home.
"""

import json
from importlib.metadata import distribution
from pathlib import Path

import pytest
from ht.insulation import ASHRAE, building_materials

from service.engine.survey.cavity import Framing
from tests.sources import files

REPOSITORY = Path(__file__).parents[2]
TEASER = "teaser/data/input/inputdata/MaterialTemplates.json"

SOFTWOOD_500 = "Timber, 500 kg/m^3"
SPRUCE = "c21ad9d8-8859-11ee-8f48-e8b1fc95108b"
BLOWN_CELLULOSE = "252c975a-3a43-11e7-9c06-2cd444b2e704"
CELLULOSE_50 = "647ea59c-3a43-11e7-a118-2cd444b2e704"
CELLULOSE_60 = "c21ad9c0-8859-11ee-a82b-e8b1fc95108b"
CELLULOSE_70 = "63f761f6-3a43-11e7-8a21-2cd444b2e704"


@pytest.fixture(scope="module")
def teaser():
    return json.loads(Path(distribution("teaser").locate_file(TEASER)).read_text())


def sheets():
    folder = REPOSITORY / "fixtures" / "demo" / "materials"
    return [json.loads(path.read_text()) for path in files(folder, "*.json")]


def test_timber_that_is_not_described_is_softwood(teaser):
    _, en_12524_w_mk, _ = building_materials[SOFTWOOD_500]
    default = Framing().conductivity_w_mk

    assert default == en_12524_w_mk == teaser[SPRUCE]["thermal_conduc"]


@pytest.mark.parametrize("sheet", sheets(), ids=lambda sheet: sheet["code"])
def test_demo_fill_conducts_as_cellulose_does(sheet, teaser):
    # Tables: 0.039 to 0.040 W/(m K) at 50 to 70 kg/m3 (teaser), 0.042 at 42.5 kg/m3 (ASHRAE, middle value).
    table = [
        teaser[uuid]["thermal_conduc"] for uuid in (BLOWN_CELLULOSE, CELLULOSE_50, CELLULOSE_60, CELLULOSE_70)
    ]
    ashrae = ASHRAE["Loose fill, Cellulosic"][2]

    assert min(table) * 0.95 <= sheet["conductivity_w_mk"] <= ashrae * 1.05
