"""The document says how money, days, codes and problems are written."""

import re
from typing import Any

import pytest
from flask import Flask

from schemas.entries import Batch


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: the document does not know it."""
    return sqlite_url


@pytest.fixture(scope="module")
def document(app: Flask) -> Any:
    """The document, as anybody gets it."""
    return app.test_client().get("/openapi.json").json


def properties(document: Any, name: str) -> Any:
    return document["components"]["schemas"][name]["properties"]


def test_money_days_and_moments_have_their_format(document: Any) -> None:
    prices, quote = properties(document, "PriceListBody"), properties(document, "QuoteHead")
    assert prices["hole_each"]["type"] == "string"
    assert prices["hole_each"]["format"] == "decimal"
    assert re.fullmatch(prices["hole_each"]["pattern"], "12.5000")
    assert not re.fullmatch(prices["hole_each"]["pattern"], "1e3")
    assert prices["in_force_from"]["format"] == "date"
    assert quote["created_at"]["format"] == "date-time"


def test_a_code_in_an_address_has_its_pattern(document: Any) -> None:
    parameters = document["paths"]["/v1/lances/{code}"]["put"]["parameters"]
    parameters += document["paths"]["/v1/lances/{code}"].get("parameters", [])
    (code,) = [each["schema"] for each in parameters if each["name"] == "code"]
    assert re.fullmatch(code["pattern"], "S-2100.1")
    assert not re.fullmatch(code["pattern"], "../x")


def test_an_entry_is_one_of_all_kinds(document: Any) -> None:
    (entries,) = [
        schema["properties"]["entries"]
        for name, schema in document["components"]["schemas"].items()
        if name == "Batch"
    ]
    assert len(entries["items"]["oneOf"]) == len(Batch.ALL_KINDS)


def test_errors_are_problems_and_each_is_described_that_is_referred_to(document: Any) -> None:
    responses = document["components"]["responses"]
    assert "UNPROCESSABLE_ENTITY" in responses
    named = set(re.findall(r"#/components/responses/(\w+)", str(document["paths"])))
    assert named <= responses.keys()
    for response in responses.values():
        assert response["content"].keys() == {"application/problem+json"}


def test_whoever_needs_a_key_is_told_so(document: Any) -> None:
    assert document["components"]["securitySchemes"]["bearer"] == {"type": "http", "scheme": "bearer"}
    assert document["paths"]["/v1/lances"]["get"]["security"] == [{"bearer": []}]
