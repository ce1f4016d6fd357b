"""Figures for whoever watches the service."""

from typing import Any

import pytest
from prometheus_client import Counter

from tests.api import Api


def test_requests_are_counted_by_route_and_status(api: Api) -> None:
    counted = 'baywright_requests_total{method="GET",route="/v1/quotes",status="200"}'
    api.send("GET", "/v1/quotes")
    (line,) = (line for line in api.client.get("/metrics").text.splitlines() if line.startswith(counted))
    api.send("GET", "/v1/quotes")
    assert f"{counted} {float(line.split()[-1]) + 1}" in api.client.get("/metrics").text


def test_what_was_done_stays_done_when_it_cannot_be_counted(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_labels: Any) -> Counter:
        raise FileNotFoundError("the folder of the figures is gone")

    monkeypatch.setattr(Counter, "labels", fails)
    quote = api.quote()
    assert api.send("GET", f"/v1/quotes/{quote['id']}").json == quote
