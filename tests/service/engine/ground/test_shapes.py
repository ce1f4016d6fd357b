from dataclasses import dataclass
from typing import Annotated, get_args

from service.engine.ground.shapes import KgPerM3, Range, Unit, described


@dataclass(frozen=True)
class Shape:
    density_kg_m3: Annotated[KgPerM3, "as blown"]
    share: Annotated[float | None, Range(0, 1), "of the whole"] = None


def test_what_a_field_says_of_itself_in_its_order() -> None:
    found = described(Shape)
    assert list(found) == ["density_kg_m3", "share"]
    assert get_args(found["density_kg_m3"]) == (float, Unit("kg/m3"), "as blown")
    assert get_args(found["share"]) == (float | None, Range(0, 1), "of the whole")
