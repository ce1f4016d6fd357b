"""On PostgreSQL one role owns the tables and another one serves, which can do all it has to and no more."""

import os
from collections.abc import Callable, Iterator
from uuid import uuid4

import pytest
from flask import Flask
from sqlalchemy import Connection, Engine, create_engine, func, make_url, select, text
from sqlalchemy.exc import DBAPIError

from service.errors import SettingsWrong
from service.settings import Settings
from service.store import migrate
from service.store.session import open_database, reading, writing
from service.store.tables import metadata
from service.usecases.keeping import health
from tests.api import METRICS_KEY, Api, load_firms, small_building
from tests.postgres import VARIABLE

pytestmark = pytest.mark.usefixtures("papers_plain")

SERVING = f"baywright_serving_{uuid4().hex}"


@pytest.fixture(scope="module")
def owner_url(new_postgres: Callable[[], str]) -> str:
    return new_postgres()


@pytest.fixture(scope="module")
def superuser(owner_url: str) -> Iterator[Engine]:
    named = os.environ.get(VARIABLE, "postgresql://postgres@")
    who = make_url(named)
    url = make_url(owner_url).set(username=who.username, password=who.password)
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    yield engine
    engine.dispose()


@pytest.fixture(scope="module")
def database_url(owner_url: str, superuser: Engine) -> Iterator[str]:
    """The database by the role that serves."""
    with superuser.connect() as connection:
        connection.execute(text(f"CREATE ROLE {SERVING} LOGIN PASSWORD 'serving'"))
    migrate.upgrade(owner_url, serving=SERVING)
    yield make_url(owner_url).set(username=SERVING, password="serving").render_as_string(hide_password=False)
    with superuser.connect() as connection:
        connection.execute(text(f"DROP OWNED BY {SERVING}"))
        connection.execute(text(f"DROP ROLE {SERVING}"))


@pytest.fixture(scope="module")
def settings(database_url: str, owner_url: str, loaded: None) -> Settings:
    return Settings(
        database_url=database_url,
        owner_database_url=owner_url,
        secret_key="a secret for the tests only",
        public_url="https://baywright.example",
        metrics_key=METRICS_KEY,
        log_level="ERROR",
    )


@pytest.fixture(scope="module")
def loaded(owner_url: str) -> None:
    load_firms(owner_url)


@pytest.fixture(scope="module")
def certificate(app: Flask) -> str:
    """The number of a certificate: the whole path, by the role that serves."""
    api = Api(app)
    issued = api.issue(api.worked()).json
    assert api.send("GET", f"/v1/certificates/{issued['id']}/document").data.startswith(b"%PDF-")
    number: str = issued["number"]
    return number


@pytest.fixture
def serving(database_url: str, certificate: str) -> Iterator[Engine]:
    engine = open_database(database_url, operator=True)
    yield engine
    engine.dispose()


def counts(connection: Connection) -> dict[str, int]:
    return {
        table.name: connection.execute(select(func.count()).select_from(table)).scalar_one()
        for table in metadata.sorted_tables
    }


def test_the_whole_path_needs_no_more(api: Api, certificate: str) -> None:
    assert api.client.get(f"/verify/{certificate}").status_code == 200
    assert api.client.get("/readyz").status_code == 200
    api.quote(small_building())
    figures = api.client.get("/metrics", headers={"Authorization": f"Bearer {METRICS_KEY}"}).text
    assert 'baywright_tasks_done_total{kind="certificate"} 1.0' in figures


def test_no_word_opens_every_firm_to_it(serving: Engine, owner_url: str) -> None:
    """Not even the owner's own: its connections say `every` from the beginning."""
    with reading(serving) as connection:
        assert connection.execute(text("SHOW baywright.firm")).scalar_one() == "every"
        assert not any(counts(connection).values())
        for word in ("%", "*", "", "'' OR true", "every "):
            connection.execute(text("SELECT set_config('baywright.firm', :word, true)"), {"word": word})
            assert not any(counts(connection).values())
        connection.execute(text("SELECT * FROM task_figures")).all()
        assert not counts(connection)["tasks"]
    owner = open_database(owner_url, operator=True)
    with reading(owner) as connection:
        assert counts(connection)["certificates"]
    owner.dispose()


FORBIDDEN = (
    "ALTER TABLE certificates ADD COLUMN x text",
    "ALTER TABLE certificates DISABLE TRIGGER ALL",
    "ALTER TABLE certificates NO FORCE ROW LEVEL SECURITY",
    "ALTER TABLE certificates OWNER TO CURRENT_USER",
    "DROP TRIGGER certificates_frozen ON certificates",
    "DROP POLICY of_firm ON certificates",
    "CREATE POLICY mine ON certificates USING (true)",
    "TRUNCATE tasks",
    "TRUNCATE answers CASCADE",
    "DROP TABLE tasks",
    "CREATE TABLE mine (x text)",
    "CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'",
    "CREATE TRIGGER mine BEFORE UPDATE ON certificates FOR EACH ROW EXECUTE FUNCTION refuse_change()",
    "UPDATE alembic_version SET version_num = '0000'",
    "SET session_replication_role = replica",
    "SET ROLE postgres",
)


@pytest.mark.parametrize("statement", FORBIDDEN)
def test_what_keeps_the_records_is_not_its_to_undo(serving: Engine, statement: str) -> None:
    with pytest.raises(DBAPIError), writing(serving) as connection:
        connection.execute(text(statement))


def test_a_server_says_which_of_the_two_it_is(serving: Engine, owner_url: str) -> None:
    assert health.not_isolated_because(serving) is None
    assert health.unguarded_because(serving) is None
    refused = health.cannot_see_every_firm_because(serving)
    assert refused
    assert "BAYWRIGHT_OWNER_DATABASE_URL" in refused
    owner = open_database(owner_url)
    assert health.cannot_see_every_firm_because(owner) is None
    warned = health.unguarded_because(owner)
    owner.dispose()
    assert warned


def test_a_role_that_is_not_there_is_named(owner_url: str) -> None:
    with pytest.raises(SettingsWrong, match="no role nobody_at_all"):
        migrate.upgrade(owner_url, serving="nobody_at_all")
