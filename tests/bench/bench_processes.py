"""Two server processes against one, on PostgreSQL: what a second one brings.

On a machine that does other things too the wall clock says little: what counts is the processor time that
a request takes its server process, with one at work and with two at once. If the second took nothing from
the first, both would answer twice as many.
"""

import os
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPConnection
from pathlib import Path
from time import perf_counter

import orjson
import pytest

from service.app import create_app
from service.settings import Settings
from service.store.migrate import upgrade
from tests.api import PUBLIC, Api, building, load_firms
from tests.faults.server import Server
from tests.postgres import throwaway_postgres

REQUESTS, ROUNDS, WANTED = 24, 3, 1.7
TICKS_S = os.sysconf("SC_CLK_TCK")


def spent_s(server: Server) -> float:
    """Processor seconds of the server's workers so far (proc(5): user and system time)."""
    fields = (
        Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split() for pid in server.worker_pids()
    )
    return sum(int(each[11]) + int(each[12]) for each in fields) / TICKS_S


def post(server: Server, key: str, content: bytes, times: int) -> None:
    """One caller, who posts a quote again and again."""
    headers = {"Authorization": f"Bearer {key}", "Content-Type": "application/json"}
    for _ in range(times):
        connection = HTTPConnection("127.0.0.1", server.port, timeout=120)
        connection.request("POST", "/v1/quotes", content, headers)
        assert connection.getresponse().status == 201
        connection.close()


def measured(server: Server, key: str, content: bytes) -> tuple[float, float]:
    """Processor and wall seconds a request, by as many callers as the server has processes."""
    began, before = perf_counter(), spent_s(server)
    with ThreadPoolExecutor(server.workers) as callers:
        share = REQUESTS // server.workers
        list(callers.map(lambda _: post(server, key, content, share), range(server.workers)))
    return (spent_s(server) - before) / REQUESTS, (perf_counter() - began) / REQUESTS


@pytest.mark.bench
def test_a_second_process_takes_nothing_from_the_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with throwaway_postgres() as new:
        url = new()
        upgrade(url)
        load_firms(url)
        app = create_app(Settings(database_url=url, secret_key="a secret for the bench", public_url=PUBLIC))
        key, content = Api(app).key("sales"), orjson.dumps(building())
        app.extensions["database"].dispose()
        servers = [Server(url, tmp_path, workers=workers) for workers in (1, 2)]
        for server in servers:
            server.start()
        try:
            taken = [[measured(server, key, content) for server in servers] for _ in range(ROUNDS)]
        finally:
            for server in servers:
                server.kill()
    (one, one_wall), (two, two_wall) = (
        tuple(min(turn[which][kind] for turn in taken) for kind in (0, 1)) for which in (0, 1)
    )
    with capsys.disabled():
        print(
            f"\nquote of 17 posted: one process {one * 1000:.0f} ms, two {two * 1000:.0f} ms each by the "
            f"processor: {2 * one / two:.2f} times as many, wanted {WANTED}; by the wall "
            f"{one_wall / two_wall:.2f}"
        )
    assert 2 * one / two > 1.3
