"""The large tables in parts by firm, on PostgreSQL: whether the service bears it, and what it brings.

BAYWRIGHT_BENCH_QUOTES says how many quotes there are, of eight firms together.
"""

import os
import resource
import subprocess
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import Engine, text
from sqlalchemy.exc import DBAPIError

from service.store.migrate import upgrade
from service.store.session import open_database
from service.usecases.keeping import checks
from tests.api import Api, load_firms
from tests.bench.bench_lists import CASES
from tests.bench.partitioned import Changed, partition
from tests.bench.place import Place, grown_place, processor_ns, served, vacuumed
from tests.postgres import Server, own_postgres

PARTS, FIRMS = 16, 8
QUOTES = int(os.environ.get("BAYWRIGHT_BENCH_QUOTES", "10000"))
TURNS = 8
Made = tuple[Server, Callable[..., str]]
PART = """
SELECT quotes.tableoid::regclass::text FROM quotes JOIN firms ON firms.id = firm_id
WHERE code = 'firm0' LIMIT 1
"""
CHANGE = """
UPDATE quotes SET updated_at = updated_at + interval '1 s'
WHERE firm_id IN (SELECT id FROM firms WHERE code = 'firm0')
"""
NEXT = "SELECT id FROM quotes ORDER BY id LIMIT 1 FOR UPDATE SKIP LOCKED"


@pytest.fixture(scope="module")
def server() -> Iterator[Made]:
    with own_postgres() as both:
        yield both


def _partitioned(superuser: Engine, parts: int = PARTS) -> Changed:
    with superuser.begin() as connection:
        changed = partition(connection, parts)
    vacuumed(superuser)
    return changed


@pytest.mark.bench
def test_the_service_does_not_know_that_its_tables_are_in_parts(
    server: Made, capsys: pytest.CaptureFixture[str]
) -> None:
    upgrade(url := server[1]())
    load_firms(url)
    with served(server[0], url) as (app, superuser):
        changed = _partitioned(superuser)
        with capsys.disabled():
            print(f"\nkeys within a firm alone: {changed.widened}\nforeign keys lost: {changed.lost}")
        api = Api(app)
        job = api.worked()
        assert api.issue(job).status_code == 201
        assert api.wait()
        assert api.send("GET", "/v1/quotes").json["items"]
        assert not Api(app, firm="other").send("GET", "/v1/quotes").json["items"]
        with superuser.begin() as connection, pytest.raises(DBAPIError, match="never changed"):
            connection.execute(text("UPDATE entries SET kind = 'note'"))
        with superuser.begin() as one, superuser.begin() as other:
            assert one.execute(text(NEXT)).first()
            assert other.execute(text(NEXT)).first() is None
        database = open_database(url, operator=True)
        assert checks.verify(database).faults == ()
        database.dispose()


@pytest.fixture(scope="module")
def places(server: Made) -> Iterator[tuple[Place, Place]]:
    """The same rows in whole tables, and in parts."""
    place, new = server
    codes = {f"firm{number}": QUOTES // FIRMS for number in range(FIRMS)}
    with ExitStack() as open_:
        whole = open_.enter_context(grown_place(place, url := new(), codes))
        whole.superuser.dispose()
        whole.app.extensions["database"].dispose()
        app, superuser = open_.enter_context(served(place, new(template=url)))
        _partitioned(superuser)
        yield whole, replace(whole, app=app, superuser=superuser)


@pytest.mark.bench
def test_what_reading_takes(places: tuple[Place, Place], capsys: pytest.CaptureFixture[str]) -> None:
    pids = [place.server_pid() for place in places]
    ratios = {}
    for name, (path, query) in CASES.items():
        calls = [place.call("firm0", path, query) for place in places]
        spent: list[list[int]] = [[], []]
        for _ in range(TURNS):
            for which, call in enumerate(calls):
                before = processor_ns(pids[which])
                call()
                spent[which].append(processor_ns(pids[which]) - before)
        whole, parted = (min(each) / 1e6 for each in spent)
        ratios[name] = parted / whole
        with capsys.disabled():
            print(f"\n{name:62} {whole:6.2f} and {parted:6.2f} ms: {parted / whole:.2f}", end="")


@pytest.mark.bench
def test_what_vacuum_and_a_dump_take(
    places: tuple[Place, Place], server: Made, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whole, parted = places
    with parted.superuser.connect() as connection:
        part = connection.execute(text(PART)).scalar_one()
    said = {
        "vacuum quotes, whole": _vacuum(whole.superuser, "quotes"),
        "vacuum quotes, all parts": _vacuum(parted.superuser, "quotes"),
        f"vacuum {part}": _vacuum(parted.superuser, part),
        "dump, all": _dump(server[0], parted.superuser, tmp_path, "*"),
        "dump, one part of each": _dump(
            server[0], parted.superuser, tmp_path, f"*_{part.rpartition('_')[2]}"
        ),
    }
    with capsys.disabled():
        print("", *(f"{name}: {figure}" for name, figure in said.items()), sep="\n")


def _vacuum(superuser: Engine, table: str) -> str:
    """After a firm's quotes of late were changed: milliseconds of the server's process."""
    with superuser.begin() as connection:
        connection.execute(text("SET LOCAL session_replication_role = replica"))
        count = connection.execute(text(CHANGE)).rowcount
    with superuser.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        pid = connection.execute(text("SELECT pg_backend_pid()")).scalar_one()
        before = _server_ns(pid)
        connection.execute(text(f"VACUUM (INDEX_CLEANUP ON) {table}"))
        return f"{(_server_ns(pid) - before) / 1e6:.1f} ms, of {count} quotes"


def _server_ns(pid: int) -> int:
    return int(Path(f"/proc/{pid}/schedstat").read_text().split()[0])


def _dump(server: Server, superuser: Engine, folder: Path, tables: str) -> str:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    command = [
        server.binaries / "pg_dump",
        f"--host={server.folder}",
        "--username=postgres",
        "--format=custom",
    ]
    command += [f"--table={tables}", f"--file={folder / 'dump'}", str(superuser.url.database)]
    subprocess.run(command, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    size = (folder / "dump").stat().st_size
    return f"{size / 1e6:.1f} MB, {after.ru_utime - before.ru_utime:.2f} s"
