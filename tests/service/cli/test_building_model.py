"""What is read of a model is held against its geometry, by hand; what cannot be read is named."""

from pathlib import Path
from typing import Any

import pytest

from service.cli import building_model
from service.errors import InvalidInput
from tests.building_models import Model, house


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """What is read of the house, in a process of its own."""
    return building_model.read(house(tmp_path_factory.mktemp("ifc") / "house.ifc"))


def test_areas_are_net_and_depths_those_of_the_insulation(found: Any) -> None:
    read = {each["label"]: (each["element"], each["area_m2"], each["depth_mm"]) for each in found["parts"]}
    assert read == {
        # 5 m by 3 m less a window of 1.2 m by 1.5 m, measured on its body.
        "North": ("wall", pytest.approx(5 * 3 - 1.2 * 1.5), 360),
        # As the model gives it; two layers of insulation.
        "South": ("wall", 21.5, 300),
        "South (2)": ("wall", 8.0, 360),
        # 6 m by 4 m.
        "Floor": ("floor", pytest.approx(24.0), 240),
        "Slope": ("roof_slope", 40.0, 280),
    }


def test_what_cannot_be_read_is_named_with_its_reason(found: Any) -> None:
    assert {each["label"]: each["why"].split()[0] for each in found["unread"]} == {
        "Roof without an area": "its",
        "Ramp": "a",
        "Brick": "no",
        "Sketch": "its",
    }


def test_the_unit_is_the_models(tmp_path: Path) -> None:
    model = Model(length={"is_metric": True, "raw": "METERS"}, area={"is_metric": True, "raw": "METERS"})
    wall = model.box(model.element("IfcWall", "W"), 2, 3, 0.3)
    model.layers(wall, ((0.3, "insulation"),))
    (part,) = building_model.found_in(str(model.written(tmp_path / "m.ifc")), ["insulation"])["parts"]
    assert (part["area_m2"], part["depth_mm"]) == (pytest.approx(6.0), 300)


def test_what_is_no_model_or_takes_too_long_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = tmp_path / "broken.ifc"
    broken.write_text("ISO-10303-21; nothing of the kind")
    with pytest.raises(InvalidInput, match="building model"):
        building_model.read(broken)
    monkeypatch.setattr(building_model, "MOST_S", 0)
    with pytest.raises(InvalidInput):
        building_model.read(broken)
    monkeypatch.setattr(building_model, "find_spec", lambda _name: None)
    with pytest.raises(InvalidInput):
        building_model.read(broken)
