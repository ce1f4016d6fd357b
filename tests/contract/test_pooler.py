"""The whole service behind a pooler that gives each transaction whichever connection is free."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from sqlalchemy import text

from service.app import create_app
from service.settings import Settings
from service.store.migrate import upgrade
from service.store.session import open_database, reading, writing
from service.store.sqlite import BUSY_MS
from tests.api import PUBLIC, Api, load_firms, small_building
from tests.pooler import pooler
from tests.postgres import own_postgres

pytestmark = pytest.mark.slow
CONNECTIONS = 2
"""Fewer than there are callers: each connection is given to one firm after the other."""


@pytest.fixture(scope="module")
def pooled() -> Iterator[str]:
    with own_postgres() as (server, new), pooler(server, url := new(), connections=CONNECTIONS) as address:
        upgrade(address)
        load_firms(address)
        assert address != url
        yield address


@pytest.fixture(scope="module")
def app(pooled: str) -> Iterator[Any]:
    app = create_app(
        Settings(database_url=pooled, secret_key="a secret for the tests only", public_url=PUBLIC)
    )
    yield app
    app.extensions["database"].dispose()
    app.extensions["database"].dispose()


def test_firms_that_share_connections_see_their_own_and_nothing_else(app: Any) -> None:
    apis = [Api(app, firm=firm) for firm in ("demo", "other")]
    for api in apis:
        api.key("sales")

    def called(api: Api) -> set[str]:
        client = app.test_client()
        key = {"Authorization": f"Bearer {api.keys['sales']}"}
        made = [client.post("/v1/quotes", json=small_building(), headers=key).json["id"] for _ in range(12)]
        listed = {row["id"] for row in client.get("/v1/quotes?limit=200", headers=key).json["items"]}
        assert set(made) <= listed
        return listed

    with ThreadPoolExecutor(8) as callers:
        found = list(callers.map(called, apis * 4))
    assert not (found[0] | found[2]) & (found[1] | found[3])


def test_a_job_is_carried_to_its_certificate(app: Any) -> None:
    api = Api(app)
    job = api.worked()
    issued = api.issue(job)
    assert issued.status_code == 201, issued.text
    document = api.send("GET", f"/v1/certificates/{issued.json['id']}/document", role="signatory")
    assert document.data.startswith(b"%PDF")


def test_what_a_transaction_may_and_how_long_it_waits_goes_with_it(pooled: str) -> None:
    service, operator = open_database(pooled), open_database(pooled, operator=True)
    said = text("SELECT current_setting('baywright.firm', true), current_setting('lock_timeout')")
    firms = text("SELECT count(*) FROM firms")
    try:
        for _ in range(3 * CONNECTIONS):
            with writing(operator) as connection:
                assert tuple(connection.execute(said).one()) == ("every", f"{BUSY_MS // 1000}s")
                assert connection.execute(firms).scalar_one() == 2
            with reading(service) as connection:
                firm, waits = connection.execute(said).one()
                assert (firm or "", waits) == ("", f"{BUSY_MS // 1000}s")
                assert connection.execute(firms).scalar_one() == 0
    finally:
        service.dispose()
        operator.dispose()
