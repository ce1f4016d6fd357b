"""Versions: the same thing twice is refused where it is posted, and is there once where it is put."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.api import Api, problem

DEMO = Path(__file__).parents[4] / "fixtures" / "demo"


def posted(name: str) -> Any:
    return json.loads((DEMO / name).read_text())


@pytest.mark.parametrize(
    ("path", "name"),
    [("/v1/price-lists", "price-lists/eur-2026-10-01.json"), ("/v1/practice", "practice/eu.json")],
)
def test_the_same_version_twice_is_refused(api: Api, path: str, name: str) -> None:
    body = posted(name) | {"name": "Another name"}
    assert api.send("POST", path, body, role="office").status_code == 201
    before = len(api.send("GET", path, role="office").json["items"])
    answer = api.send("POST", path, body, role="office")
    assert "already" in problem(answer, 409)["detail"]
    assert len(api.send("GET", path, role="office").json["items"]) == before


def test_a_version_that_differs_in_anything_is_another(api: Api) -> None:
    body = posted("price-lists/eur-2026-10-01.json")
    answers = [
        api.send("POST", "/v1/price-lists", body | {"name": name}, role="office") for name in ("A", "B", "A")
    ]
    assert [answer.status_code for answer in answers] == [201, 201, 201]


def test_a_sheet_that_is_put_twice_is_there_once(api: Api) -> None:
    body = posted("materials/cf-std.json")
    code = body.pop("code")
    body |= {"name": "Another name", "in_force_from": "2026-03-01"}
    first, second = (api.send("PUT", f"/v1/materials/{code}", body, role="office") for _ in range(2))
    assert first.json["id"] == second.json["id"]
