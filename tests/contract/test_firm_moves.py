"""A firm goes from one PostgreSQL to another with all that it has: its rows are whatever it may see.

Its documents lie in a bucket that both databases use, and stay there.
"""

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import create_engine, make_url, text

from service.app import create_app
from service.settings import Settings
from service.store.migrate import upgrade
from service.store.tables import metadata
from service.usecases.keeping import checks, sweeping
from service.usecases.keeping.anchors import Anchor
from service.usecases.keeping.checks import Report
from tests.api import PUBLIC, Api, load_firms, operated
from tests.objects import ObjectStore, running
from tests.postgres import Server, own_postgres

pytestmark = pytest.mark.slow
FIRM = "SELECT id::text FROM firms WHERE code = 'demo'"


@contextmanager
def served(url: str, store: ObjectStore) -> Iterator[Flask]:
    """The service on a database."""
    secret = "a secret for the tests only"
    app = create_app(store.settings(Settings(database_url=url, secret_key=secret, public_url=PUBLIC)))
    yield app
    app.extensions["database"].dispose()


def checked(url: str, store: ObjectStore, *held: Anchor) -> Report:
    """What `baywright check` finds, also against these anchors."""
    with operated(url, store.opened()) as database:
        return checks.verify(database, held)


def swept(url: str, store: ObjectStore) -> int:
    """How many objects `baywright sweep` deletes here, when all are old enough."""
    with operated(url, store.opened()) as database:
        return sweeping.sweep_objects(database, datetime.now(UTC) + timedelta(days=2))


def as_superuser(server: Server, url: str, *statements: str) -> Any:
    """What the last of these statements says."""
    engine = create_engine(server.url.set(database=make_url(url).database))
    with engine.begin() as connection:
        said = [connection.execute(text(statement)) for statement in statements][-1]
        value = said.scalar() if said.returns_rows else None
    engine.dispose()
    return value


def dumped(server: Server, url: str, firm_id: str, file: Path) -> None:
    """Every row of one firm: row-level security leaves the tables' owner no other."""
    address = make_url(url)
    command = [server.binaries / "pg_dump", "--data-only", "--enable-row-security", "--format=custom"]
    command += [f"--host={server.folder}", f"--username={address.username}", f"--file={file}"]
    command += ["--exclude-table=alembic_version", str(address.database)]
    asked = {**os.environ, "PGOPTIONS": f"-c baywright.firm={firm_id}"}
    subprocess.run(command, check=True, env=asked)


def restored(server: Server, url: str, file: Path) -> None:
    """As a superuser, whom what freezes rows lets add them."""
    command = [server.binaries / "pg_restore", "--data-only", "--disable-triggers", "--single-transaction"]
    command += [f"--host={server.folder}", "--username=postgres", f"--dbname={make_url(url).database}", file]
    subprocess.run(command, check=True)


def taken_away(server: Server, url: str, firm_id: str) -> None:
    """Every row that the firm may see, as a superuser who puts on the owner's eyes."""
    as_superuser(
        server,
        url,
        "SET LOCAL session_replication_role = replica",
        f"SET LOCAL ROLE {make_url(url).username}",
        f"SET LOCAL baywright.firm = '{firm_id}'",
        *(f"DELETE FROM {table.name}" for table in reversed(metadata.sorted_tables)),
    )


def at_work(url: str, store: ObjectStore) -> dict[str, str]:
    """Two firms with a draft and a job each, one with a certificate besides, whose keys are given."""
    load_firms(url)
    with served(url, store) as app:
        api, other = Api(app), Api(app, firm="other")
        assert api.issue(api.worked()).status_code == 201
        for each in (api, other):
            each.quote()
            each.job()
            each.wait()
    return api.keys


def test_a_firm_goes_to_another_database_with_all_that_it_has(tmp_path: Path) -> None:
    with own_postgres() as (server, new), running(tmp_path / "store") as store:
        here, there = new(), new()
        for url in (here, there):
            upgrade(url)
        keys = at_work(here, store)
        before, firm_id = checked(here, store), as_superuser(server, here, FIRM)
        dumped(server, here, firm_id, tmp_path / "firm")
        restored(server, there, tmp_path / "firm")
        taken_away(server, here, firm_id)
        anchor = next(head for head in before.heads if head.firm == "demo")
        # The same chain, whole: nobody can tell it from what it was by what was anchored before.
        stayed, moved = checked(here, store), checked(there, store, anchor)
        assert before.faults == stayed.faults == moved.faults == ()
        assert moved.contents.objects_read + stayed.contents.objects_read == len(store.held())
        assert swept(here, store) == swept(there, store) == 0
        assert [head.firm for head in stayed.heads] == ["other"]
        assert (moved.quotes, stayed.quotes, before.quotes) == (3, 2, 5)
        assert [head.firm for head in moved.heads] == ["demo"]
        with served(there, store) as app:
            moved_api = Api(app)
            moved_api.keys = keys
            assert len(moved_api.send("GET", "/v1/quotes").json["items"]) == 3
            assert moved_api.job()["number"].endswith("-0003")
            assert checked(there, store).faults == ()
        with served(here, store) as app:
            stays = Api(app, firm="other")
            assert len(stays.send("GET", "/v1/quotes").json["items"]) == 2
