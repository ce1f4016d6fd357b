"""Every list and search of the API, on PostgreSQL: a firm with very many quotes against one with a thousand.

Both draft as many a day, and each answers as many rows. What counts is the processor, of the service and of
its connection's server process together; the least of many turns. BAYWRIGHT_BENCH_QUOTES says how many
quotes the large firm has: a million take twenty minutes to be made, and 20 GB.
"""

import os
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from time import process_time_ns
from typing import Any
from urllib.parse import urlencode

import pytest
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
from tests.postgres import own_postgres

QUOTES = {"small": 1_000, "large": int(os.environ.get("BAYWRIGHT_BENCH_QUOTES", "10000"))}
TURNS = int(os.environ.get("BAYWRIGHT_BENCH_TURNS", "12"))
WANTED = 1.5

SEARCHES: Mapping[str, Mapping[str, str]] = {
    "all": {},
    **{f"state {state}": {"state": state} for state in ("draft", "offered", "accepted", "withdrawn")},
    "offered, the last page": {"state": "offered", "after": "{last_offered}"},
    "of a day": {"from": "{day}", "to": "{day}"},
    "a page in the middle": {"after": "{middle}"},
    "by number": {"number": "{number}"},
    "by a number that there is not": {"number": "Q-1900-0000001"},
    "by reference": {"reference": "{reference}"},
    "by the beginning of a word": {"client": "bren*"},
    "by a beginning that there is not": {"client": "zzz*"},
    "by a word of the client": {"client": "brenabers"},
    "by a word that there is not": {"client": "nobody"},
    "by a telephone": {"client": "{i}"},
    "by a word that all have, in the middle": {"client": "client", "after": "{middle}"},
    "by a place": {"place": "brenaberweg"},
    "by two words that no quote has both": {"place": "{street} {elsewhere}"},
    "by a label that all have": {"build_up": "attic"},
    "by a label that few have": {"build_up": "bay window", "limit": "2"},
    "by label and state": {"build_up": "attic", "state": "withdrawn"},
}
JOBS: Mapping[str, Mapping[str, str]] = {
    "all": {},
    "state open": {"state": "open"},
    "by number": {"number": "{job_number}"},
    "on a day": {"day": "{day}"},
    "of a crew": {"crew": "{crew}"},
    "by a word of the client": {"client": "brenabers", "limit": "3"},
    "by a label that all have": {"build_up": "attic"},
    "by a word that there is not": {"client": "nobody"},
}
OF_DAYS = {"since": "{day}", "until": "{day}"}
OTHERS: Mapping[str, Mapping[str, str]] = {
    "/v1/quotes/{quote}": {},
    "/v1/jobs/{job}": {},
    **{f"/v1/jobs/{{job}}/{of}": {} for of in ("entries", "certificates", "supplements", "photos")},
    "/v1/events": {"after": "{event}", "limit": "20"},
    "/v1/orders": {"job": "{job_number}"},
    "/v1/stock": {"limit": "20"},
    **{f"/v1/exports/{kind}": OF_DAYS for kind in ("quotes", "parts", "certificates")},
    **{f"/v1/{of}": {} for of in ("crews", "keys", "subscriptions", "anchors", "materials")},
}
CASES = {
    **{f"/v1/quotes {name}": ("/v1/quotes", {"limit": "20", **query}) for name, query in SEARCHES.items()},
    **{f"/v1/jobs {name}": ("/v1/jobs", {"limit": "10", **query}) for name, query in JOBS.items()},
    **{path: (path, dict(query)) for path, query in OTHERS.items()},
}

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


@pytest.fixture(scope="module")
def grown() -> Iterator[tuple[Flask, dict[str, tuple[str, Mapping[str, Any]]]]]:
    """The service, and of each firm a key and what is known of it."""
    with own_postgres() as (server, new):
        url = new()
        upgrade(url)
        load_firms(url)
        operator = open_database(url, operator=True)
        for code in QUOTES:
            firms.load(operator, {**read_firm(DEMO), "code": code}, NOW)
        operator.dispose()
        settings = Settings(database_url=url, secret_key="a secret for the bench", public_url=PUBLIC)
        app = create_app(settings)
        keys = {code: Api(app, firm=code).key("office") for code in QUOTES}
        job = Api(app).worked(small_building())
        superuser = create_engine(server.url.set(database=make_url(url).database))
        yield app, {code: (keys[code], known) for code, known in _grow(superuser, job).items()}
        superuser.dispose()
        app.extensions["database"].dispose()


def _grow(superuser: Engine, job: Any) -> dict[str, Mapping[str, Any]]:
    with superuser.begin() as connection:
        key_ids = "SELECT code, firms.id, keys.id AS key_id FROM firms JOIN keys ON keys.firm_id = firms.id"
        rows = {row.code: row for row in connection.execute(text(key_ids)) if row.code in QUOTES}
        grow(
            connection,
            [
                Firm(code=code, id=row.id, key_id=row.key_id, quotes=QUOTES[code])
                for code, row in rows.items()
            ],
            quote_id=job["quote_id"],
            job_id=job["id"],
        )
    with superuser.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.execute(text("VACUUM ANALYZE"))
        asked = {code: {"firm_id": row.id, "half": QUOTES[code] // 2} for code, row in rows.items()}
        return {code: connection.execute(text(KNOWN), of).mappings().one() for code, of in asked.items()}


def _processor_ns(server_pid: int) -> int:
    """Of this process and of the server's for its connection (proc(5), schedstat: time on the processor)."""
    return process_time_ns() + int(Path(f"/proc/{server_pid}/schedstat").read_text().split()[0])


def _calls(app: Flask, path: str, query: Mapping[str, str], of: tuple[str, Any]) -> Callable[[], int]:
    key, known = of
    asked = urlencode({name: value.format_map(known) for name, value in query.items()})
    address, client = f"{path.format_map(known)}?{asked}", app.test_client()

    def call() -> int:
        answer = client.get(address, headers={"Authorization": f"Bearer {key}"})
        assert answer.status_code == 200, answer.text
        listed = answer.json.get("items", ()) if answer.is_json else ()
        return len(listed)

    return call


@pytest.mark.bench
def test_lists_take_no_longer_however_much_there_is(
    grown: tuple[Flask, dict[str, tuple[str, Mapping[str, Any]]]], capsys: pytest.CaptureFixture[str]
) -> None:
    app, of = grown
    with app.extensions["database"].connect() as connection:
        pid = connection.execute(text("SELECT pg_backend_pid()")).scalar_one()
    ratios = {}
    for name, (path, query) in CASES.items():
        calls = {code: _calls(app, path, query, each) for code, each in of.items()}
        spent: dict[str, list[int]] = {code: [] for code in calls}
        rows: dict[str, int] = {}
        for _ in range(TURNS):
            for code, call in calls.items():
                before = _processor_ns(pid)
                rows[code] = call()
                spent[code].append(_processor_ns(pid) - before)
        small, large = (min(spent[code]) / 1e6 for code in QUOTES)
        ratios[name] = large / small
        with capsys.disabled():
            said = f"{rows['small']:3} and {rows['large']:3} rows, {small:6.2f} and {large:7.2f} ms"
            print(f"\n{name:62} {said}: {large / small:.2f}", end="")
    with capsys.disabled():
        print(f"\nslower than {WANTED}: {[name for name, ratio in ratios.items() if ratio > WANTED]}")
    assert max(ratios.values()) < 2 * WANTED
