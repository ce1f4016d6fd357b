"""Figures for whoever watches the service."""

from dataclasses import replace
from typing import Any

import pytest
from prometheus_client import Counter

from tests.api import METRICS_KEY, Api, problem

pytestmark = pytest.mark.one_database


def figures(api: Api) -> str:
    """The figures as whoever watches the service reads them."""
    answer = api.client.get("/metrics", headers={"Authorization": f"Bearer {METRICS_KEY}"})
    assert answer.status_code == 200, answer.text
    return answer.text


def test_requests_are_counted_by_route_and_status(api: Api) -> None:
    counted = 'baywright_requests_total{method="GET",route="/v1/quotes",status="200"}'
    api.send("GET", "/v1/quotes")
    (line,) = (line for line in figures(api).splitlines() if line.startswith(counted))
    api.send("GET", "/v1/quotes")
    assert f"{counted} {float(line.split()[-1]) + 1}" in figures(api)


def test_what_was_done_stays_done_when_it_cannot_be_counted(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_labels: Any) -> Counter:
        raise FileNotFoundError("the folder of the figures is gone")

    monkeypatch.setattr(Counter, "labels", fails)
    quote = api.quote()
    assert api.send("GET", f"/v1/quotes/{quote['id']}/working").json == quote


def test_strangers_do_not_grow_the_figures(api: Api) -> None:
    """Neither the names of methods nor of addresses that they make up are kept."""
    for path in ("/nowhere", "/v1/quotes", "/metrics"):
        api.client.open(path, method="BREW")
    figures(api)
    before = len(figures(api).splitlines())
    for number in range(30):
        assert api.client.open("/v1/quotes", method=f"BREW{number}").status_code == 405
        assert api.client.open(f"/nowhere/{number}", method=f"BREW{number}").status_code == 404
    after = figures(api)
    assert len(after.splitlines()) == before
    assert "BREW" not in after
    assert 'method="other",route="other",status="405"' in after


def test_the_figures_are_for_whoever_runs_the_service(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    for sent in (
        None,
        "Bearer",
        f"Bearer {api.key('office')}",
        f"Bearer {METRICS_KEY}x",
        f"Basic {METRICS_KEY}",
    ):
        problem(api.client.get("/metrics", headers={"Authorization": sent} if sent else {}), 401)
    without = replace(api.app.extensions["settings"], metrics_key="")
    monkeypatch.setitem(api.app.extensions, "settings", without)
    for sent in ("", f"Bearer {METRICS_KEY}"):
        problem(api.client.get("/metrics", headers={"Authorization": sent}), 404)
