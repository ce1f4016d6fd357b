"""The parts that a stored entry names, wherever it says so."""

from typing import Any

import pytest

from service.usecases.work.said import kind_stated, parts_named


@pytest.mark.parametrize(
    ("data", "named"),
    [
        ({"bags": 3}, []),
        ({"cavity": "W1"}, ["W1"]),
        ({"cavity": None, "cavities": ["W1", "W2"]}, ["W1", "W2"]),
        ({"entry": "1", "replacement": {"cavity": "W3"}}, ["W3"]),
        ({"entry": "1", "replacement": None}, []),
    ],
)
def test_parts_named(data: dict[str, Any], named: list[str]) -> None:
    assert list(parts_named(data)) == named


@pytest.mark.parametrize(
    ("kind", "data", "stated"),
    [
        ("note", {"cavity": "W1"}, "note"),
        ("correction", {"replacement": {"kind": "found", "cavity": "W1"}}, "found"),
        ("correction", {"replacement": None}, "correction"),
    ],
)
def test_kind_stated(kind: str, data: dict[str, Any], stated: str) -> None:
    assert kind_stated({"kind": kind, "data": data}) == stated
