"""The service with an object store of a module's own beside its database."""

from collections.abc import Iterator

import pytest
from sqlalchemy import Engine

from service.app import create_app
from service.settings import Settings
from service.store.session import open_database
from tests.api import Api
from tests.kept import Kept, photographed
from tests.objects import ObjectStore


@pytest.fixture(scope="module")
def outside(settings: Settings, store: ObjectStore) -> Iterator[tuple[Api, Engine]]:
    app = create_app(store.settings(settings))
    app.testing = True
    app.config["PROPAGATE_EXCEPTIONS"] = False
    engine = open_database(settings.operator_url, operator=True, objects=store.opened())
    yield Api(app), engine
    engine.dispose()
    app.extensions["database"].dispose()


@pytest.fixture
def kept(outside: tuple[Api, Engine], store: ObjectStore) -> Kept:
    api, database = outside
    job = api.job()
    found = Kept(api=api, store=store, database=database, job=job, photo=photographed(api, job))
    assert [status for status, _ in found.read()] == [200, 200, 200]
    return found
