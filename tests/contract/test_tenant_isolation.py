"""PostgreSQL shows a transaction no firm's rows but those it acts for, whatever the query forgets."""

import os
from collections.abc import Callable, Iterator
from typing import Any
from uuid import UUID, uuid4

import pytest
from flask import Flask
from sqlalchemy import Connection, Engine, func, inspect, make_url, select, text
from sqlalchemy.exc import DBAPIError

from service.store.session import open_database, reading, reveal, writing
from service.store.tables import metadata
from service.usecases.firm import firms
from service.usecases.keeping import health
from tests.api import Api, operator_of, small_building
from tests.postgres import VARIABLE

# Nobody's data: the migrations' own note.
OF_NO_FIRM = {"alembic_version"}


@pytest.fixture(scope="module")
def database_url(new_postgres: Callable[[], str]) -> str:
    return new_postgres()


FOUND = small_building()["cavities"][0]

PHOTOS = text(
    "INSERT INTO photos "
    "(job_id, id, sha256, sent_sha256, firm_id, content, size_bytes, "
    "width_px, height_px, received_at, key_id) "
    "SELECT id, id, repeat('0', 64), repeat('0', 64), firm_id, '', 0, 1, 1, now(), "
    "(SELECT id FROM keys WHERE keys.firm_id = jobs.firm_id LIMIT 1) FROM jobs"
)

TASKS = text(
    "INSERT INTO tasks (id, firm_id, kind, subject_id, created_at, due_at, attempts) "
    "SELECT id, firm_id, 'trial', id, now(), now(), 0 FROM jobs"
)

IMPORTS = text(
    "INSERT INTO imports (quote_id, firm_id, chain, imported_at) "
    "SELECT quote_id, firm_id, '{}', now() FROM jobs"
)


OPTIONS = text(
    "INSERT INTO quote_options (quote_id, option, text, body, basis, summary, short, total) "
    "SELECT id, 'B', 'Another', '{}', '{}', '{}', '{}', 1 FROM quotes WHERE state = 'draft'"
)

pytestmark = pytest.mark.usefixtures("papers_plain")


@pytest.fixture(scope="module")
def certificate(app: Flask) -> Any:
    """A certificate of the demo firm, with something of its own and of the other firm in every table."""
    certificate = None
    for firm in ("other", "demo"):
        api = Api(app, firm=firm)
        certificate = api.issue(api.worked()).json
        assert api.issue({"id": certificate["job_id"]}).status_code == 201
        withdrawal = f"/v1/certificates/{certificate['id']}/withdrawal"
        assert api.send("POST", withdrawal, {"reason": "A trial"}).status_code == 200
        link = api.send("POST", f"/v1/certificates/{certificate['id']}/links", {"days": 1})
        assert link.status_code == 201
        job = api.job(small_building())
        crew = api.send("POST", "/v1/crews", {"name": "Crew 1"}, Idempotency_Key="crew").json
        days = {"days": [{"day": "2026-11-25", "crew": crew["id"]}]}
        assert api.send("PUT", f"/v1/jobs/{job['id']}/assignment", days).status_code == 200
        found = {"id": str(uuid4()), "by": "Crew 1", "cavities": [{**FOUND, "label": "F1"}]}
        path = f"/v1/jobs/{job['id']}/supplements"
        assert api.send("POST", path, found, Idempotency_Key="found").status_code == 201
        unmet = {"condition": "stock_unreconciled", "reason": "A trial", "granted_by": "Office"}
        answer = api.send("POST", f"/v1/jobs/{job['id']}/concessions", unmet)
        assert answer.status_code == 201, answer.text
        api.quote()
    api.anchored()
    for firm in ("other", "demo"):
        _subscribe(Api(app, firm=firm))
    with operator_of(app) as database, writing(database) as connection:
        connection.execute(PHOTOS)
        connection.execute(TASKS)
        connection.execute(IMPORTS)
        connection.execute(OPTIONS)
    return certificate


def _subscribe(api: Api) -> None:
    """Let something be on its way to a receiver."""
    wanted = {"url": "https://sales.example/events", "events": ["quote.offered"]}
    assert api.send("PUT", "/v1/subscriptions/sales", wanted, Idempotency_Key="sales").status_code == 200
    quote = api.quote(small_building(reference="told"))
    assert api.send("POST", f"/v1/quotes/{quote['id']}/offer").status_code == 200


@pytest.fixture
def ordinary(database_url: str) -> Iterator[Engine]:
    """The database as the service opens it."""
    engine = open_database(database_url)
    yield engine
    engine.dispose()


def counts(connection: Connection) -> dict[str, int]:
    """How many rows of every table a query without a filter finds."""
    return {
        table.name: connection.execute(select(func.count()).select_from(table)).scalar_one()
        for table in metadata.sorted_tables
    }


@pytest.mark.usefixtures("certificate")
def test_without_a_firm_nothing_is_seen(ordinary: Engine, database: Engine) -> None:
    with reading(database) as connection:
        everything = counts(connection)
    assert all(everything.values()), everything
    with reading(ordinary) as connection:
        assert not any(counts(connection).values())


@pytest.mark.usefixtures("certificate")
def test_a_firm_sees_its_own_rows_and_no_others(ordinary: Engine, database: Engine) -> None:
    seen = {}
    for code in ("demo", "other"):
        with reading(ordinary, firm_id=firms.id_of(database, code)) as connection:
            seen[code] = counts(connection)
    with reading(database) as connection:
        everything = counts(connection)
    assert all(seen["demo"].values())
    assert all(seen["other"].values())
    assert {name: seen["demo"][name] + seen["other"][name] for name in everything} == everything


@pytest.mark.usefixtures("certificate")
def test_what_was_revealed_is_hidden_again_in_the_next_transaction(
    ordinary: Engine, database: Engine
) -> None:
    with ordinary.connect() as connection:
        with connection.begin():
            reveal(connection, firm=firms.id_of(database, "demo"))
            assert counts(connection)["quotes"]
        with connection.begin():
            assert not counts(connection)["quotes"]


def test_what_can_be_named_is_seen_alone(certificate: Any, ordinary: Engine, api: Api) -> None:
    names = {
        "number": ("certificates", certificate["number"]),
        "key": ("keys", api.key("office").split("_")[1]),
    }
    for name, (table, value) in names.items():
        with reading(ordinary) as connection:
            reveal(connection, **{name: value})
            found = {name: count for name, count in counts(connection).items() if count}
        assert found == {table: 1}


@pytest.mark.usefixtures("certificate")
def test_a_firm_cannot_write_for_another(ordinary: Engine, database: Engine) -> None:
    ours, theirs = (firms.id_of(database, code) for code in ("demo", "other"))
    series = text("INSERT INTO series (firm_id, kind, year, last) VALUES (:firm, 'trial', 2026, 1)")
    with writing(ordinary, firm_id=ours) as connection:
        connection.execute(series, {"firm": ours})
        assert (
            connection.execute(
                text("UPDATE keys SET label = 'x' WHERE firm_id = :firm"), {"firm": theirs}
            ).rowcount
            == 0
        )
    with pytest.raises(DBAPIError, match="row-level security"), writing(ordinary, firm_id=ours) as connection:
        connection.execute(series, {"firm": theirs})


@pytest.mark.usefixtures("certificate")
def test_a_firm_cannot_add_to_another_firms_things(ordinary: Engine, database: Engine) -> None:
    quote_id = _quote_of(database, "other")
    cavity = text(
        "INSERT INTO quote_cavities "
        "(quote_id, position, label, element, mass_kg, surveyed, planned, count, line) "
        "VALUES (:quote, 9999, 'X', 'wall', 1, '{}', '{}', 1, '{}')"
    )
    with (
        pytest.raises(DBAPIError),
        writing(ordinary, firm_id=firms.id_of(database, "demo")) as connection,
    ):
        connection.execute(cavity, {"quote": quote_id})


def _quote_of(database: Engine, code: str) -> UUID:
    with reading(database) as connection:
        found = connection.execute(
            text("SELECT id FROM quotes WHERE firm_id = :firm"), {"firm": firms.id_of(database, code)}
        )
        return found.scalars().first() or uuid4()


def test_every_table_isolates_tenants_from_its_owner_too(database: Engine) -> None:
    flags = text("SELECT relrowsecurity AND relforcerowsecurity FROM pg_class WHERE relname = :name")
    with reading(database) as connection:
        isolated = {
            name: connection.execute(flags, {"name": name}).scalar_one()
            for name in inspect(connection).get_table_names()
        }
    assert {name for name, yes in isolated.items() if not yes} == OF_NO_FIRM


def test_the_tests_are_held_to_it_and_a_superuser_is_told_that_he_is_not(
    database_url: str, database: Engine
) -> None:
    assert health.not_isolated_because(database) is None
    named = make_url(os.environ.get(VARIABLE, "postgresql://postgres@"))
    url = make_url(database_url).set(username=named.username, password=named.password)
    superuser = open_database(url.render_as_string(hide_password=False))
    warning = health.not_isolated_because(superuser)
    superuser.dispose()
    assert warning
    assert "superuser" in warning
