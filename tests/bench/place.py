"""The service on a PostgreSQL where firms have grown, and what a request takes of the processor there."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from time import process_time_ns
from typing import Any
from urllib.parse import urlencode

from flask import Flask
from sqlalchemy import Engine, create_engine, make_url, text

from service.api.firm_files import read_firm
from service.app import create_app
from service.settings import Settings
from service.store.migrate import upgrade
from service.store.session import open_database
from service.usecases.firm import firms
from tests.api import DEMO, NOW, PUBLIC, Api, load_firms, small_building
from tests.bench.grown import Firm, grow
from tests.postgres import Server

KNOWN = """
SELECT g.i, g.street, g.reference, q.number, j.number AS job_number, j.id AS job, q.id AS quote,
    (SELECT max(at)::date - 2 FROM grown WHERE firm_id = g.firm_id) AS day,
    (SELECT id FROM quotes WHERE firm_id = g.firm_id ORDER BY id OFFSET :half LIMIT 1) AS middle,
    (SELECT id FROM quotes WHERE firm_id = g.firm_id AND state = 'offered' AND valid_until >= current_date
        ORDER BY id OFFSET 10 LIMIT 1) AS last_offered,
    (SELECT id FROM crews WHERE firm_id = g.firm_id ORDER BY name LIMIT 1) AS crew,
    (SELECT max(position) / 2 FROM events WHERE firm_id = g.firm_id) AS event,
    (SELECT town FROM grown AS o WHERE o.firm_id = g.firm_id GROUP BY town
        HAVING NOT bool_or(o.street = g.street) ORDER BY count(*) DESC LIMIT 1) AS elsewhere
FROM grown AS g JOIN quotes AS q ON q.id = g.id JOIN jobs AS j ON j.quote_id = q.id
WHERE g.firm_id = :firm_id ORDER BY j.id DESC OFFSET 60 LIMIT 1
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """The service, its database as a superuser sees it, and of each firm a key and what is known of it."""

    app: Flask
    superuser: Engine
    keys: Mapping[str, str]
    known: Mapping[str, Mapping[str, Any]]

    def server_pid(self) -> int:
        """The server's process for the service's connection."""
        with self.app.extensions["database"].connect() as connection:
            pid: int = connection.execute(text("SELECT pg_backend_pid()")).scalar_one()
        return pid

    def call(self, code: str, path: str, query: Mapping[str, str]) -> Callable[[], int]:
        """A request by a firm's office, which gives how many rows were answered."""
        known, client = self.known[code], self.app.test_client()
        asked = urlencode({name: value.format_map(known) for name, value in query.items()})
        address, key = f"{path.format_map(known)}?{asked}", self.keys[code]

        def call() -> int:
            answer = client.get(address, headers={"Authorization": f"Bearer {key}"})
            assert answer.status_code == 200, answer.text
            listed = answer.json.get("items", ()) if answer.is_json else ()
            return len(listed)

        return call


@contextmanager
def grown_place(server: Server, url: str, quotes: Mapping[str, int]) -> Iterator[Place]:
    """A new database with firms of these codes that have so many quotes."""
    upgrade(url)
    load_firms(url)
    operator = open_database(url, operator=True)
    for code in quotes:
        firms.load(operator, {**read_firm(DEMO), "code": code}, NOW)
    operator.dispose()
    with served(server, url) as (app, superuser):
        keys = {code: Api(app, firm=code).key("office") for code in quotes}
        job = Api(app).worked(small_building())
        yield Place(app=app, superuser=superuser, keys=keys, known=_grow(superuser, job, quotes))


@contextmanager
def served(server: Server, url: str) -> Iterator[tuple[Flask, Engine]]:
    """The service on a database, and the database as a superuser sees it."""
    settings = Settings(database_url=url, secret_key="a secret for the bench", public_url=PUBLIC)
    app = create_app(replace(settings, rate_per_minute=1_000_000))
    superuser = create_engine(server.url.set(database=make_url(url).database))
    yield app, superuser
    superuser.dispose()
    app.extensions["database"].dispose()


def _grow(superuser: Engine, job: Any, quotes: Mapping[str, int]) -> dict[str, Mapping[str, Any]]:
    with superuser.begin() as connection:
        key_ids = "SELECT code, firms.id, keys.id AS key_id FROM firms JOIN keys ON keys.firm_id = firms.id"
        rows = {row.code: row for row in connection.execute(text(key_ids)) if row.code in quotes}
        grow(
            connection,
            [
                Firm(code=code, id=row.id, key_id=row.key_id, quotes=quotes[code])
                for code, row in rows.items()
            ],
            quote_id=job["quote_id"],
            job_id=job["id"],
        )
    vacuumed(superuser)
    with superuser.connect() as connection:
        asked = {code: {"firm_id": row.id, "half": quotes[code] // 2} for code, row in rows.items()}
        return {code: connection.execute(text(KNOWN), of).mappings().one() for code, of in asked.items()}


def vacuumed(superuser: Engine) -> None:
    """See to it that the server knows how much there is, and has no rows left that are none."""
    with superuser.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.execute(text("VACUUM ANALYZE"))


def processor_ns(server_pid: int) -> int:
    """Of this process and of the server's for its connection (proc(5), schedstat: time on the processor)."""
    return process_time_ns() + int(Path(f"/proc/{server_pid}/schedstat").read_text().split()[0])
