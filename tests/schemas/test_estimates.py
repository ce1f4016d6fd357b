"""An estimate takes areas and depths; a draft of it also whom it is for."""

from typing import Any

import pytest

from schemas.estimates import EstimateBody, EstimateDraftBody
from tests.api import building
from tests.pointers import changed, refused, refused_without

BODY: dict[str, Any] = {"parts": [{"element": "wall", "area_m2": 120, "depth_mm": 360}]}
HEAD = {name: building()[name] for name in ("reference", "client", "site")}


def test_parts_are_all_that_it_takes() -> None:
    assert refused(EstimateBody(), BODY) == set()
    assert refused_without(EstimateBody(), BODY) == {"parts": {"/parts"}}
    needed = ("parts", "reference", "client", "site")
    assert refused_without(EstimateDraftBody(), {**BODY, **HEAD}) == {name: {f"/{name}"} for name in needed}


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/parts", []),
        ("/parts/0/element", "window"),
        ("/parts/0/area_m2", 0),
        ("/parts/0/area_m2", "120"),
        ("/parts/0/depth_mm", 0),
        ("/parts/0/width_m", 3),
        ("/currency", "Euro"),
        ("/reference", "SO-1"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(pointer: str, value: Any) -> None:
    assert refused(EstimateBody(), changed(BODY, pointer, value)) == {pointer}
