"""What reads everything reads from a hot standby: the primary is left to those who write."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from service.app import create_app
from service.settings import Settings
from service.store.migrate import upgrade
from tests.api import PUBLIC, Api, load_firms, small_building
from tests.postgres import own_postgres
from tests.standby import Standby, asked, following

pytestmark = pytest.mark.slow
ROOT = Path(__file__).parents[2]
SECRET = "a secret for the tests only"


def baywright(address: str, *words: str) -> str:
    """What a command prints that has this address for its database; it must go well."""
    settings = {"BAYWRIGHT_DATABASE_URL": address, "BAYWRIGHT_SECRET_KEY": SECRET}
    command = [sys.executable, "-m", "service.cli", *words]
    done = subprocess.run(command, env={**os.environ, **settings}, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def served() -> Iterator[tuple[Flask, Standby, str]]:
    """The service on a primary with a certified job, its standby, and the database's address there."""
    with own_postgres() as (server, new), following(server) as standby:
        upgrade(url := new())
        load_firms(url)
        app = create_app(Settings(database_url=url, secret_key=SECRET, public_url=PUBLIC))
        api = Api(app)
        assert api.issue(api.worked()).status_code == 201
        api.wait()
        standby.has_followed()
        yield app, standby, standby.address(url)
        app.extensions["database"].dispose()


def test_check_anchor_and_backup_read_from_a_standby(
    served: tuple[Flask, Standby, str], tmp_path: Path
) -> None:
    _, standby, address = served
    assert "1 certificates, " in baywright(address, "check")
    assert "0 faults." in baywright(address, "check")
    baywright(address, "anchor", str(tmp_path / "anchor.json"), "--firm", "demo")
    assert "0 faults." in baywright(address, "check", "--anchor", str(tmp_path / "anchor.json"))
    baywright(address, "backup", str(tmp_path / "backup"))
    listing = [standby.binaries / "pg_restore", "--list", tmp_path / "backup"]
    assert "TABLE DATA public certificates" in subprocess.check_output(listing, text=True)


def test_a_standby_that_lags_is_checked_as_it_is(served: tuple[Flask, Standby, str], tmp_path: Path) -> None:
    app, standby, address = served
    before = baywright(address, "check")
    asked(standby, "SELECT pg_wal_replay_pause()::text")
    try:
        Api(app).job(small_building())
        assert baywright(address, "check") == before
    finally:
        asked(standby, "SELECT pg_wal_replay_resume()::text")
    standby.has_followed()
    after = baywright(address, "check")
    assert after != before
    assert "0 faults." in after


def test_the_service_at_a_standby_says_that_nothing_can_be_written(
    served: tuple[Flask, Standby, str],
) -> None:
    app, _, address = served
    lost = create_app(Settings(database_url=address, secret_key=SECRET, public_url=PUBLIC))
    lost.config["PROPAGATE_EXCEPTIONS"] = False
    api: Any = Api(app)
    key = api.key("sales")
    assert api.send("GET", "/v1/quotes", role="sales").status_code == 200
    api_keys = {"Authorization": f"Bearer {key}"}
    try:
        answer = lost.test_client().post("/v1/quotes", json=small_building(), headers=api_keys)
        assert answer.status_code == 503, answer.text
    finally:
        lost.extensions["database"].dispose()
