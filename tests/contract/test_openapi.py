"""The OpenAPI document is valid and says what the service does."""

import json
from collections.abc import Iterator
from typing import Any

from flask import Flask
from openapi_spec_validator import OpenAPIV31SpecValidator

from tests.api import Api, small_building


class Rounded:
    """Equal to the same JSON with its figures rounded for people."""

    def __init__(self, exact: object) -> None:
        self.exact = exact

    def __eq__(self, shown: object) -> bool:
        match self.exact:
            case dict():
                return isinstance(shown, dict) and shown == {k: Rounded(v) for k, v in self.exact.items()}
            case list():
                return isinstance(shown, list) and shown == [Rounded(each) for each in self.exact]
            case float():
                return shown == float(f"{self.exact:.6g}")
        return shown == self.exact


def test_the_document_is_valid_openapi(app: Flask) -> None:
    document = app.test_client().get("/openapi.json").json
    assert document["openapi"].startswith("3.1")
    OpenAPIV31SpecValidator(document).validate()


def test_errors_are_problems_in_the_document(app: Flask) -> None:
    document = app.test_client().get("/openapi.json").json
    for response in document["components"]["responses"].values():
        assert list(response["content"]) == ["application/problem+json"]


def test_nothing_is_lost_between_the_engine_and_the_answer(api: Api) -> None:
    body = {k: v for k, v in small_building().items() if k not in ("reference", "client")}
    with api.app.test_request_context():
        from service.usecases.work import takeoffs

        seen: dict[str, object] = {}
        original = takeoffs.work_out
        try:
            takeoffs.work_out = lambda *args: seen.setdefault("found", original(*args))
            answer = api.send("POST", "/v1/takeoffs?working=true", body, role="sales").json
        finally:
            takeoffs.work_out = original
    from service.usecases.base.json import to_json

    found = json.loads(json.dumps(to_json(seen["found"])))
    for point in found["hold_points"]:
        # What the firm left out when it posted the point is left out here too.
        if point["reading"]:
            point["reading"] = {k: v for k, v in point["reading"].items() if v is not None}
    assert answer == Rounded(found)


# A name ends in its unit, or is one of its own; the longest ending counts.
UNITS = {
    "_kg_m3": "kg/m3",
    "_kg_m2": "kg/m2",
    "_kg_m2_s": "kg/m2s",
    "_w_m2k": "W/m2K",
    "_m2k_w": "m2K/W",
    "_w_mk": "W/mK",
    "_m3": "m3",
    "_m2": "m2",
    "_m": "m",
    "_mm": "mm",
    "_mm2": "mm2",
    "_kg": "kg",
    "_g": "g",
    "_kg_h": "kg/h",
    "_h": "h",
    "_l": "L",
    "_km": "km",
    "_percent": "%",
    "_deg": "deg",
    "_c": "C",
    "_pa": "Pa",
    "_per_h": "1/h",
    "_m3_h_m2": "m3/hm2",
    "_per_m2": "1/m2",
    "bags_per_100_m2": "bags per 100 m2",
    "strip_per_m": "m per m",
}


def properties(document: Any) -> Iterator[tuple[str, str, Any]]:
    """Every property of every component: the component's name, its own, and its schema."""
    for component, schema in document["components"]["schemas"].items():
        for name, said in schema.get("properties", {}).items():
            yield component, name, said


def test_every_property_says_what_it_means(app: Flask) -> None:
    document = app.test_client().get("/openapi.json").json
    silent = {
        f"{component}.{name}" for component, name, said in properties(document) if not said.get("description")
    }
    assert not silent


def test_every_figure_says_its_unit(app: Flask) -> None:
    document = app.test_client().get("/openapi.json").json
    wrong = {}
    for component, name, said in properties(document):
        ending = max((each for each in UNITS if f"_{name}".endswith(each)), key=len, default=None)
        figure = "number" in str(said.get("type"))
        if figure and ending and f"({UNITS[ending]})" not in said["description"]:
            wrong[f"{component}.{name}"] = said["description"]
    assert not wrong
