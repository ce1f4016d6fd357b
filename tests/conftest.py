"""What every test may ask for: a migrated database of its module's own, on SQLite and on PostgreSQL."""

import gc
import shutil
from collections import defaultdict
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from hypothesis import HealthCheck, settings
from sqlalchemy import Engine

from service.app import create_app
from service.settings import Settings
from service.store.migrate import upgrade
from tests.api import METRICS_KEY, PUBLIC, Api, load_firms, operated
from tests.long import LONG
from tests.objects import ObjectStore, running
from tests.plain import plain_papers
from tests.postgres import throwaway_postgres

# Both go by the wall clock, and fail where other processes have the processor.
settings.register_profile("ours", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("ours")

# What is imported and collected stays until the end: nothing of it is garbage to be looked for.
gc.disable()

ONE, BOTH, IN_TURN = "one_database", "both_databases", "databases_in_turn"
ALSO_OUTSIDE, INSIDE, OUTSIDE = "also_outside", "inside", "outside"


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """What is marked `also_outside` runs with its contents in the database, then in an object store.

    A module's mark counts in the long form alone, a test's own always.
    """
    own = {mark.name for mark in getattr(metafunc.function, "pytestmark", ())}
    marks = own | ({mark.name for mark in metafunc.definition.iter_markers()} if LONG else set())
    if "object_store" in metafunc.fixturenames and ALSO_OUTSIDE in marks and "inside_alone" not in marks:
        metafunc.parametrize("object_store", [INSIDE, OUTSIDE], indirect=True, scope="module")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """In the short form what is marked `one_database` runs on SQLite alone, or each case on one in turn."""
    places: dict[Any, dict[Any, int]] = defaultdict(dict)
    left = set() if LONG else {item for item in items if _is_spared(item, places[item.parent])}
    if left:
        items[:] = [item for item in items if item not in left]
        config.hook.pytest_deselected(items=list(left))


def pytest_collection_finish() -> None:
    """From here on there is garbage."""
    gc.freeze()
    # A test leaves little: it is looked for as seldom as in the server.
    gc.set_threshold(20_000, 20, 20)
    gc.enable()


def _is_spared(item: pytest.Item, places: dict[Any, int]) -> bool:
    """What a test says of itself counts before what its module says; `places` of its cases are noted."""
    call = getattr(item, "callspec", None)
    mark = next((mark for mark in item.iter_markers() if mark.name in (ONE, BOTH, IN_TURN)), None)
    if call is None or mark is None or "database_url" not in call.params:
        return False
    second: bool = call.params["database_url"] == "postgresql"
    if mark.name != IN_TURN:
        return second and mark.name == ONE
    place = places.setdefault(call.params[mark.args[0]], len(places))
    return place % 2 != second


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated SQLite file, to copy."""
    path = tmp_path_factory.mktemp("template") / "template.sqlite3"
    upgrade(f"sqlite:///{path}")
    return path


@pytest.fixture(scope="session")
def new_postgres() -> Iterator[Callable[[], str]]:
    """A function that makes a migrated PostgreSQL database and gives its URL."""
    with throwaway_postgres() as new_database:
        template = new_database()
        upgrade(template)
        yield partial(new_database, template=template)


@pytest.fixture(scope="module")
def sqlite_url(
    sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory, object_store: ObjectStore | None
) -> str:
    """A migrated SQLite database of the module's own."""
    path = tmp_path_factory.mktemp("database") / "database.sqlite3"
    shutil.copyfile(sqlite_template, path)
    return f"sqlite:///{path}"


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, object_store: ObjectStore | None) -> str:
    """A migrated database of the module's own, on one kind of database after the other."""
    if request.param == "postgresql":
        return request.getfixturevalue("new_postgres")()
    return request.getfixturevalue("sqlite_url")


@pytest.fixture(scope="session")
def object_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ObjectStore]:
    """An object store for all tests; who stops it or looks at all that it holds has one of his own."""
    with running(tmp_path_factory.mktemp("objects")) as store:
        yield store


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ObjectStore]:
    """An object store of the module's own."""
    with running(tmp_path_factory.mktemp("objects")) as store:
        yield store


@pytest.fixture(scope="module")
def object_store(request: pytest.FixtureRequest) -> ObjectStore | None:
    """The store beside the module's database; none unless a test is run `also_outside` (below)."""
    outside = getattr(request, "param", INSIDE) == OUTSIDE
    store: ObjectStore | None = request.getfixturevalue("object_server") if outside else None
    return store


@pytest.fixture(scope="module")
def settings(database_url: str, object_store: ObjectStore | None) -> Settings:
    """Settings for the module's database, with a firm and another one loaded into it."""
    load_firms(database_url)
    settings = Settings(
        database_url=database_url,
        secret_key="a secret for the tests only",
        public_url=PUBLIC,
        metrics_key=METRICS_KEY,
        log_level="ERROR",
        rate_per_minute=1_000_000,
        public_rate_per_minute=1_000_000,
    )
    return object_store.settings(settings) if object_store else settings


@pytest.fixture(scope="module")
def app(settings: Settings) -> Iterator[Flask]:
    """The service on the module's database."""
    app = create_app(settings)
    app.testing = True
    # An unexpected error must be answered as to anybody, not raised through the test client.
    app.config["PROPAGATE_EXCEPTIONS"] = False
    yield app
    app.extensions["database"].dispose()


@pytest.fixture(scope="module")
def papers_plain() -> Iterator[None]:
    """Papers with their text alone: what a module asks for whose tests are not about papers."""
    with plain_papers():
        yield


@pytest.fixture
def database(database_url: str, object_store: ObjectStore | None) -> Iterator[Engine]:
    """The module's database, below the service: every firm's rows."""
    with operated(database_url, object_store and object_store.opened()) as engine:
        yield engine


@pytest.fixture
def api(app: Flask) -> Api:
    """The API as the demo firm's people call it."""
    return Api(app)
