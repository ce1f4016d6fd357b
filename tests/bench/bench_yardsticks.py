"""The service's requests beside bare views of the same work: the ratios, in one run, by the processor.

A ratio of 1 would be a service that adds nothing to Flask. What is wanted stands beside each.
"""

import os
import subprocess
import sys
from pathlib import Path
from statistics import median
from typing import Any
from uuid import UUID

import orjson
import pytest
from sqlalchemy import create_engine

from service.app import create_app
from service.settings import Settings
from service.store import files
from service.store.contents import inside
from service.store.migrate import upgrade
from service.store.session import writing
from tests.api import NOW, PUBLIC, Api, building, load_firms, operator_of
from tests.bench.bench_requests import house
from tests.bench.yardsticks import Call, bare, in_turns

pytestmark = pytest.mark.bench
MANY = 10**9
HELP_S = 0.25


@pytest.fixture(scope="module")
def api(tmp_path_factory: pytest.TempPathFactory) -> Api:
    """The service on a new SQLite file, nobody held off by its limits."""
    url = f"sqlite:///{tmp_path_factory.mktemp('bench')}/bench.sqlite3"
    upgrade(url)
    load_firms(url)
    settings = Settings(
        database_url=url,
        secret_key="a secret for the bench",
        public_url=PUBLIC,
        rate_per_minute=MANY,
        log_level="ERROR",
    )
    return Api(create_app(settings))


@pytest.fixture(scope="module")
def job(api: Api) -> Any:
    """A job of the demo building."""
    return api.job(building())


@pytest.fixture
def bench(api: Api, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> "Bench":
    """The service, what it is held against, and where it is printed."""
    return Bench(api, tmp_path, capsys)


class Bench:
    """Rows of the table: what is measured, its yardstick, their ratio and the one that is wanted."""

    def __init__(self, api: Api, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.api, self.folder, self.capsys = api, folder, capsys
        self.content, self.file = b"{}", folder / "file"

    def get(self, path: str, role: str = "sales", *, status: int = 200, **headers: str) -> Call:
        """A request by somebody with a role."""
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        return Call(
            app=self.api.app,
            path=path,
            status=status,
            headers={"Authorization": f"Bearer {self.api.key(role)}", **sent},
        )

    def bare(self, path: str, **named: Any) -> Call:
        """A request to the bare application that answers `content` and sends `file`."""
        database = create_engine(f"sqlite:///{self.folder}/{len(list(self.folder.iterdir()))}.sqlite3")
        return Call(app=bare(content=self.content, file=self.file, database=database), path=path, **named)

    def row(
        self, what: str, ours: Call, yardstick: Call, *, wanted: float, rounds: int = 15, at_once: int = 40
    ) -> None:
        """Measure and print; what is far from what is wanted fails."""
        ours_ms, bare_ms = in_turns(ours, yardstick, rounds=rounds, at_once=at_once)
        ratio = bare_ms / ours_ms
        with self.capsys.disabled():
            print(
                f"\n{what:<44} {ours_ms:8.3f} ms  yardstick {bare_ms:7.3f} ms  "
                f"ratio {ratio:.2f}  wanted {wanted:.2f}",
                end="",
            )
        assert ratio > wanted / 4


def test_alive(bench: Bench) -> None:
    ours = Call(app=bench.api.app, path="/healthz")
    bench.row("GET /healthz / bare Flask", ours, bench.bare("/word"), wanted=0.5)


def test_quotes(bench: Bench) -> None:
    content = orjson.dumps(house(50))
    ours = Call(
        app=bench.api.app,
        path="/v1/quotes",
        method="POST",
        status=201,
        body=content,
        headers={"Authorization": f"Bearer {bench.api.key('sales')}"},
    )
    yardstick = bench.bare("/row", method="POST", status=201, body=content)
    bench.row("POST quote of 50 / bare, schema and row", ours, yardstick, wanted=0.25, rounds=7, at_once=2)


def test_short_answers(bench: Bench, job: Any) -> None:
    for what, path in (("quote", f"/v1/quotes/{job['quote_id']}"), ("job", f"/v1/jobs/{job['id']}")):
        ours = bench.get(path)
        bench.content = ours.prepared()()
        size = f"{len(building()['cavities'])} parts, {len(bench.content) // 1000} kB"
        bench.row(f"GET {what} of {size} / bare, same bytes", ours, bench.bare("/bytes"), wanted=0.3)


def test_documents(bench: Bench, job: Any) -> None:
    path = f"/v1/quotes/{job['quote_id']}/document"
    _attach(bench.api, job["quote_id"])
    answer = bench.api.send("GET", path, role="sales")
    bench.content = answer.data
    bench.file.write_bytes(answer.data)
    size = f"{len(answer.data) // 1000} kB"
    bench.row(f"GET document of {size} / send_file", bench.get(path), bench.bare("/file"), wanted=0.4)
    ours = bench.get(path, status=304, If_None_Match=answer.headers["ETag"])
    yardstick = bench.bare("/tagged", status=304, headers={"If-None-Match": '"as-stored"'})
    bench.row("the same, not changed / bare 304", ours, yardstick, wanted=0.5)


def _attach(api: Api, owner_id: str) -> None:
    """A stored document of the table's length: what is measured is not its making."""
    with operator_of(api.app) as database, writing(database) as connection:
        files.attach(
            connection, kind="quote", owner_id=UUID(owner_id), placed=inside(os.urandom(165_000)), now=NOW
        )


def test_help(capsys: pytest.CaptureFixture[str]) -> None:
    spent_s = []
    for _ in range(5):
        before = os.times()
        subprocess.run([sys.executable, "-m", "service.cli", "--help"], check=True, capture_output=True)
        after = os.times()
        spent_s.append(
            after.children_user + after.children_system - before.children_user - before.children_system
        )
    with capsys.disabled():
        print(f"\nbaywright --help: {median(spent_s):.2f} s, wanted {HELP_S:.2f} s", end="")
    assert median(spent_s) < 4 * HELP_S
