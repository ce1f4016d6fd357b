"""Requests as a building grows: CPU time of each on SQLite, the database's own work included."""

from collections.abc import Callable
from pathlib import Path
from time import process_time
from typing import Any

import pytest
from werkzeug.test import TestResponse

from service.app import create_app
from service.settings import Settings
from service.store.migrate import upgrade
from tests.api import PUBLIC, Api, building, day_of, load_firms

ROUNDS = 5


def house(cavities: int) -> dict[str, Any]:
    """A quote's body with so many cavities: those of the demo building, again and again."""
    surveyed = building()["cavities"]
    chosen = ((number, surveyed[number % len(surveyed)]) for number in range(cavities))
    return {
        **building(),
        "cavities": [{**each, "label": f"{each['label']}-{number}"} for number, each in chosen],
    }


def quickest_ms(act: Callable[[], TestResponse], rounds: int = ROUNDS) -> float:
    """CPU time of the quickest of some requests, all of which must go well."""
    spent = []
    for _ in range(rounds):
        began = process_time()
        answer = act()
        spent.append((process_time() - began) * 1000)
        assert answer.status_code in (200, 201), answer.text
    return min(spent)


@pytest.fixture
def api(tmp_path: Path) -> Api:
    """The service on a new SQLite file."""
    url = f"sqlite:///{tmp_path}/bench.sqlite3"
    upgrade(url)
    load_firms(url)
    return Api(
        create_app(
            Settings(
                database_url=url, secret_key="a secret for the bench", public_url=PUBLIC, log_level="ERROR"
            )
        )
    )


@pytest.mark.bench
def test_quotes(api: Api, capsys: pytest.CaptureFixture[str]) -> None:
    each_ms = {}
    for size in (50, 500):
        body = house(size)
        posted = quickest_ms(lambda body=body: api.send("POST", "/v1/quotes", body, role="sales"))
        path = f"/v1/quotes/{api.quote(body)['id']}"
        read = quickest_ms(lambda path=path: api.send("GET", path, role="sales"))
        each_ms[size] = posted / size
        with capsys.disabled():
            print(f"\nquote of {size} cavities: posted in {posted:.0f} ms, read in {read:.0f} ms", end="")
    assert each_ms[500] <= 1.5 * each_ms[50]


@pytest.mark.bench
def test_a_batch_of_entries_takes_no_longer_at_the_end_of_a_job(
    api: Api, capsys: pytest.CaptureFixture[str]
) -> None:
    job = api.job(house(50))
    before, *within, _ = day_of(job)
    assert api.record(job, before).status_code == 201
    each_ms = [
        quickest_ms(lambda batch=batch: api.record(job, batch), rounds=1) / len(batch) for batch in within
    ]
    first, last = (sum(some) / len(some) for some in (each_ms[:17], each_ms[-16:]))
    path = f"/v1/jobs/{job['id']}/assessment"
    assessed = quickest_ms(lambda: api.send("GET", path, role="installer"))
    with capsys.disabled():
        print(f"\nan entry: {first:.2f} ms at first, {last:.2f} ms in the end, of {sum(map(len, within))}")
        print(f"assessment of 50 cavities: {assessed:.0f} ms")
    assert last <= 2 * first
