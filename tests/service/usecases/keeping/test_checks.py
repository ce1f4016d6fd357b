"""Whoever can write to the database can drop its triggers. What he then changes is found.

Every column of the rows that were issued is changed by hand, one at a time, and
every kind of row is taken away: each time the check must say so, and be content
once everything is as it was.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256
from typing import Any
from uuid import UUID, uuid4

import pytest
from flask import Flask
from sqlalchemy import Connection, Engine, select, text
from sqlalchemy.exc import IntegrityError

from service.engine.ground.vocabulary import Sealed
from service.store import migrate, series
from service.store.session import open_database, reading, writing
from service.store.tables import metadata
from service.usecases.keeping import anchors, checks
from service.usecases.keeping.content_checks import Contents
from service.usecases.keeping.issued import examine
from tests.api import NOW, Api, operator_of, small_building
from tests.full_job import full_job
from tests.long import LONG
from tests.said import said
from tests.tampering import another, drop_triggers, is_row, undone

pytestmark = pytest.mark.also_outside

TABLES = metadata.tables
ISSUED = (
    "quotes",
    "quote_cavities",
    "clients",
    "jobs",
    "entries",
    "concessions",
    "photos",
    "certificates",
    "supersessions",
    "withdrawals",
    "files",
    "seals",
)

pytestmark = pytest.mark.usefixtures("papers_plain")
# How often a quote was changed, and when last, is not part of what was offered; what a worker last found of a
# job is worked out anew.
NOT_ISSUED = {"version", "updated_at", "ready_since"}
# The reason of an erasure and who asked for it: none was made here.
OF_AN_ERASURE = {("clients", "reason"), ("clients", "key_id")}


@pytest.fixture(scope="module")
def job(app: Flask) -> Any:
    """A full job, among others, in a database without triggers."""
    api = Api(app)
    api.quote()
    job = full_job(api)
    other = api.quote(small_building(reference="another"))
    for step in ("offer", "withdrawal"):
        assert api.send("POST", f"/v1/quotes/{other['id']}/{step}", role="sales").status_code == 200
    api.wait()
    with operator_of(app) as database:
        assert checks.verify(database).faults == ()
        with writing(database) as connection:
            drop_triggers(connection)
    return job


def faults_of(connection: Connection, job: Any) -> list[str]:
    """What a check says of the job's quote and its firm."""
    quotes = TABLES["quotes"]
    quote_id = UUID(job["quote_id"])
    firm_id = connection.execute(select(quotes.c.firm_id).where(quotes.c.id == quote_id)).scalar_one()
    found = examine(connection, firm_id=firm_id, quote_id=quote_id).faults
    return list(map(said, [*found, *checks.firm_faults(connection, firm_id)]))


def after(database: Engine, job: Any, change: Callable[[Connection], None]) -> list[str]:
    """What a check says after a change, which is taken back."""
    with undone(database) as connection:
        change(connection)
        return faults_of(connection, job)


def rows_of(connection: Connection, job: Any, table: str) -> list[Any]:
    """The rows of a table that belong to the job or its quote, in their order where they have one."""
    columns = TABLES[table].c
    owners = [UUID(job["id"]), UUID(job["quote_id"])]
    certificates = TABLES["certificates"].c
    mine = select(certificates.id).where(certificates.job_id == owners[0])
    if table in ("quotes", "jobs"):
        condition = columns.id.in_(owners)
    elif table == "files":
        condition = columns.owner_id.in_(owners) | columns.owner_id.in_(mine)
    elif table in ("supersessions", "withdrawals"):
        condition = columns.certificate_id.in_(mine)
    else:
        condition = (columns.job_id if "job_id" in columns else columns.quote_id).in_(owners)
    order = [columns.position] if "position" in columns else list(TABLES[table].primary_key.columns)
    return list(connection.execute(select(TABLES[table]).where(condition).order_by(*order)).mappings())


def columns_of(table: str, database: Engine) -> list[str]:
    """What can be changed of a table's rows; in the short form each on one kind of database, in turn."""
    names = [
        column.name
        for column in TABLES[table].c
        if column.name not in NOT_ISSUED and (table, column.name) not in OF_AN_ERASURE
    ]
    return names if LONG else names[database.dialect.name == "sqlite" :: 2]


@pytest.mark.inside_alone
@pytest.mark.parametrize("table", ISSUED)
def test_every_column_that_was_issued_is_held(database: Engine, job: Any, table: str) -> None:
    refused = []
    names = columns_of(table, database)
    for name in names:
        column = TABLES[table].c[name]
        with reading(database) as connection:
            rows = rows_of(connection, job, table)
        row = next((row for row in rows if row[name] is not None), rows[0])
        value = another(column, row[name])

        def change(connection: Connection, row: Any = row, name: str = name, value: Any = value) -> None:
            connection.execute(TABLES[table].update().where(is_row(table, row)).values({name: value}))

        try:
            assert after(database, job, change), f"{table}.{name} was changed, and nothing was found"
        except IntegrityError:
            # A reference, a state or an erasure that cannot be: the schema itself refuses it.
            refused.append(name)
    references = {c.name for c in TABLES[table].c if c.foreign_keys or c.primary_key}
    assert set(refused) <= references | {
        "state",
        "erased_at",
        "data",
        "salt",
        "content",
        "object_key",
    }
    assert len(refused) < len(names) or set(names) <= references


@pytest.mark.parametrize("table", [name for name in ISSUED if name not in ("quotes", "jobs")])
def test_a_row_that_is_taken_away_is_missed(database: Engine, job: Any, table: str) -> None:
    with reading(database) as connection:
        row = rows_of(connection, job, table)[-1]

    def change(connection: Connection) -> None:
        if table == "certificates":
            connection.execute(TABLES["withdrawals"].delete())
            connection.execute(TABLES["supersessions"].delete())
        connection.execute(TABLES[table].delete().where(is_row(table, row)))

    assert after(database, job, change), f"a row of {table} was taken away, and nothing was found"


def test_a_job_that_is_taken_away_whole_is_missed_by_its_numbers(database: Engine, job: Any) -> None:
    year = int(job["number"].split("-")[1])
    quotes = TABLES["quotes"]
    mine = quotes.c.id == UUID(job["quote_id"])
    with undone(database) as connection:
        firm_id = connection.execute(select(quotes.c.firm_id).where(mine)).scalar_one()
        for table in (
            *("withdrawals", "supersessions", "files", "photos"),
            *("assigned_days", "assignments", "concessions", "seals", "acceptances", "clients"),
            *("quote_cavities", "quote_options", "supplement_steps", "supplement_cavities", "supplements"),
        ):
            connection.execute(TABLES[table].delete())
        # Each of these may name the one before it.
        for table in ("certificates", "entries"):
            for row in reversed(rows_of(connection, job, table)):
                connection.execute(TABLES[table].delete().where(is_row(table, row)))
        connection.execute(TABLES["jobs"].delete())
        connection.execute(quotes.delete().where(mine))
        found = list(map(said, checks.firm_faults(connection, firm_id)))
    assert found == [
        f"quote numbers of {year}: 1 is missing.",
        f"job numbers of {year}: 1 is missing.",
        f"certificate numbers of {year}: 1 to 2 are missing.",
        "Events tell of what did not happen (a quote was offered): 1.",
        "Events tell of what did not happen (an offer was accepted): 1.",
        "Events tell of what did not happen (a certificate was issued): 2.",
        "Events tell of what did not happen (a certificate was superseded): 1.",
        "Events tell of what did not happen (a certificate was withdrawn): 1.",
    ]


@pytest.mark.parametrize(
    "table", ["entries", "concessions", "quote_cavities", "quote_options", "photos", "seals", "assignments"]
)
def test_a_row_that_was_slipped_in_is_noticed(database: Engine, job: Any, table: str) -> None:
    with reading(database) as connection:
        row = dict(rows_of(connection, job, table)[-1])
    row |= {"id": uuid4()} if "id" in row else {}
    row |= {"position": row["position"] + 1} if "position" in row else {}
    row |= {"corrects": None} if "corrects" in row else {}
    row |= {"label": "W9"} if table == "quote_cavities" else {}
    row |= {"option": "3"} if table == "quote_options" else {}
    row |= {"subject": str(uuid4())} if table == "seals" else {}
    assert after(database, job, lambda connection: connection.execute(TABLES[table].insert().values(**row)))


def test_everything_sealed_has_a_word(database: Engine, job: Any) -> None:
    with reading(database) as connection:
        kinds = {row["kind"] for row in rows_of(connection, job, "seals")}
    assert kinds == set(Sealed) - {"closure", "erasure", "offer_withdrawal"}


def test_each_fault_is_a_sentence_that_names_what_is_wrong(database: Engine, job: Any) -> None:
    with reading(database) as connection:
        entry = rows_of(connection, job, "entries")[2]
        first = rows_of(connection, job, "certificates")[0]
    entries, certificates = TABLES["entries"], TABLES["certificates"]

    def change(connection: Connection) -> None:
        connection.execute(entries.update().where(entries.c.id == entry["id"]).values(by="Somebody else"))
        connection.execute(certificates.update().where(certificates.c.id == first["id"]).values(record=b"{}"))

    assert after(database, job, change) == [
        f"Quote {job['quote_number']}: the record of certificate {first['number']} is not the one that "
        "was issued.",
        f"Quote {job['quote_number']}: the entry {entry['id']} was altered.",
    ]


def test_what_cannot_be_read_at_all_is_a_fault_and_no_crash(database: Engine, job: Any) -> None:
    if database.dialect.name == "postgresql":
        pytest.skip("PostgreSQL does not take such values")
    quote_id = UUID(job["quote_id"]).hex
    for statement in (
        f"UPDATE quotes SET basis = 'no json' WHERE id = '{quote_id}'",
        f"UPDATE quotes SET offered_at = 'some day' WHERE id = '{quote_id}'",
        f"UPDATE clients SET salt = 'no hexadecimal' WHERE quote_id = '{quote_id}'",
    ):
        (fault,) = after(database, job, lambda connection, sql=statement: connection.execute(text(sql)))
        assert fault == f"Quote {job['quote_id']}: something of it cannot be read."


def test_a_new_record_in_the_place_of_an_old_one_is_found_by_the_chain(database: Engine, job: Any) -> None:
    """Whoever forges a record with its digest must forge every one after it as well."""
    certificates = TABLES["certificates"]
    with reading(database) as connection:
        first = rows_of(connection, job, "certificates")[0]
    forged = bytes(first["record"]).replace(b"A signatory", b"B signatory")
    assert forged != bytes(first["record"])
    digest = sha256(forged).hexdigest()
    link = sha256(f"{first['previous_sha256']}\n{digest}".encode()).hexdigest()
    values = {"record": forged, "record_sha256": digest, "chain_sha256": link}

    def change(connection: Connection) -> None:
        connection.execute(certificates.update().where(certificates.c.id == first["id"]).values(**values))

    found = after(database, job, change)
    assert any("the chain is broken here" in fault for fault in found)


def test_missing_numbers_are_named(database: Engine, job: Any) -> None:
    rows, quotes, jobs = TABLES["series"], TABLES["quotes"], TABLES["jobs"]
    year = int(job["number"].split("-")[1])

    def more(connection: Connection) -> None:
        connection.execute(rows.update().where(rows.c.kind == "certificate").values(last=rows.c.last + 2))

    assert after(database, job, more) == [f"certificate numbers of {year}: 3 to 4 are missing."]

    def renamed(connection: Connection) -> None:
        connection.execute(
            quotes.update().where(quotes.c.number.is_not(None)).values(number=quotes.c.number + "0")
        )
        connection.execute(jobs.update().values(number="J"))

    def counted_anew(connection: Connection) -> None:
        connection.execute(rows.update().where(rows.c.kind == "certificate").values(last=1))

    assert after(database, job, counted_anew) == [
        f"certificate numbers of {year} are counted up to 1, and higher ones are there."
    ]

    found = after(database, job, renamed)
    assert f"quote numbers of {year}: 1 to 9 are missing." in found
    assert "job number J: no number has this form." in found
    assert series.KINDS == ("quote", "job", "certificate")


def test_a_change_that_was_stored_is_found_until_the_backup_is_put_back(
    app: Flask, database: Engine, job: Any
) -> None:
    withdrawals = TABLES["withdrawals"]
    with reading(database) as connection:
        (backup,) = rows_of(connection, job, "withdrawals")
    whole = checks.verify(database, now=NOW)
    assert (whole.faults, whole.quotes, whole.certificates, whole.contents.files) == ((), 3, 2, 7)
    with writing(database) as connection:
        connection.execute(withdrawals.delete())
    assert tuple(map(said, checks.verify(database).faults)) == (
        "Events tell of what did not happen (a certificate was withdrawn): 1.",
        f"Quote {job['quote_number']}: the state of its job is open and should be certified.",
        f"Quote {job['quote_number']}: the withdrawal of the certificate {backup['certificate_id']} was "
        "removed.",
    )
    with writing(database) as connection:
        connection.execute(withdrawals.insert().values(**backup))
    assert checks.verify(database, now=NOW) == whole


def test_a_firm_that_is_taken_away_is_missed_by_what_names_it(database: Engine, job: Any) -> None:
    if database.dialect.name == "postgresql":
        return  # There a superuser alone can let go of keys.
    with undone(database) as connection:
        connection.execute(text("PRAGMA defer_foreign_keys = ON"))
        connection.execute(TABLES["firms"].delete())
        found = [said(fault) for fault in checks.verified(connection, [], NOW).faults]
    assert any(
        re.fullmatch("In journal there are rows that name what is not there: [0-9]+.", each) for each in found
    )


def test_an_empty_database_has_no_faults(tmp_path: Any) -> None:
    url = f"sqlite:///{tmp_path}/empty.sqlite3"
    migrate.upgrade(url)
    database = open_database(url, operator=True)
    assert checks.verify(database) == checks.Report(
        quotes=0, certificates=0, contents=Contents(), heads=(), faults=()
    )
    database.dispose()


UNREADABLE = (
    ("firms", "id", "'x'"),
    ("firms", "data", "'{'"),
    ("firms", "created_at", "'once'"),
    ("series", "year", "'MMXXVI'"),
    ("quotes", "id", "'x'"),
    ("quotes", "firm_id", "'x'"),
    ("quotes", "basis", "'{'"),
    ("quotes", "valid_until", "'soon'"),
    ("clients", "data", "'{'"),
    ("jobs", "created_at", "'never'"),
    ("certificates", "issued_at", "'yesterday'"),
    ("certificates", "outcome", "'{'"),
    ("certificates", "firm_id", "'x'"),
    ("entries", "data", "'{'"),
    ("entries", "happened_at", "'noon'"),
    ("seals", "position", "'first'"),
)


@pytest.mark.parametrize(("table", "column", "value"), UNREADABLE)
def test_a_value_that_cannot_be_read_is_a_fault_and_the_rest_is_looked_at(
    job: Any, database: Engine, table: str, column: str, value: str
) -> None:
    if database.dialect.name != "sqlite":
        # It takes no value of another kind.
        return
    with database.connect() as connection:
        connection.connection.cursor().execute("PRAGMA foreign_keys = OFF").close()
        with connection.begin() as transaction:
            connection.execute(text(f"UPDATE {table} SET {column} = {value} WHERE rowid = 1"))
            report = checks.verified(connection, (), NOW)
            transaction.rollback()
    assert report.faults, f"{table}.{column}"
    assert report.quotes == 3
    assert all(said(fault) for fault in report.faults)


def test_an_anchor_that_was_kept_elsewhere_finds_a_chain_made_anew(database: Engine, job: Any) -> None:
    kept = checks.verify(database).heads
    assert [(anchor.firm, anchor.head.count) for anchor in kept] == [("demo", 2), ("other", 0)]
    assert checks.verify(database, kept).faults == ()
    longer = replace(kept[0], head=anchors.Place(count=3, sha256="0" * 64))
    assert len(checks.verify(database, [longer]).faults) == 1
