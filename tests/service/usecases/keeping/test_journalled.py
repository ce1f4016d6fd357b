"""Whoever takes something away and sets back everything that counts it is found by the firm's journal."""

from collections.abc import Callable
from typing import Any
from uuid import UUID, uuid4

import pytest
from flask import Flask
from sqlalchemy import Connection, Engine, delete, func, select
from sqlalchemy.exc import IntegrityError

from service.engine.ground.messages import Message
from service.engine.ground.vocabulary import Journalled
from service.store import journal
from service.store.session import reading, writing
from service.store.tables import metadata
from service.usecases.base.context import Context
from service.usecases.base.journal import KEPT, NOT_NOTED
from service.usecases.firm import firms
from service.usecases.keeping import checks, daily_anchors
from tests.api import NOW, Api, operator_of
from tests.said import said
from tests.tampering import another, drop_triggers, is_row, undone

TABLES = metadata.tables


@pytest.fixture(scope="module")
def issued(app: Flask) -> list[Any]:
    """Two certificates of one job, with a link, a crew and an anchor, in a database without triggers."""
    api = Api(app)
    job = api.worked()
    found = [api.issue(job).json for _ in range(2)]
    link = api.send("POST", f"/v1/certificates/{found[1]['id']}/links", {"days": 1})
    crew = api.send("POST", "/v1/crews", {"name": "Crew 1"}, Idempotency_Key="crew")
    assert (link.status_code, crew.status_code) == (201, 201)
    with operator_of(app) as database:
        demo = firms.id_of(database, "demo")
        nobody = Context(database=database, settings=app.extensions["settings"], caller=None, now=NOW)
        daily_anchors.make(nobody.acting_for(demo, "a test"), demo)
        assert checks.verify(database).faults == ()
        with writing(database) as connection:
            drop_triggers(connection)
    return found


def after(database: Engine, change: Callable[[Connection], Any]) -> list[Message]:
    """What a check says after a change, which is taken back."""
    with undone(database) as connection:
        change(connection)
        return list(checks.verified(connection, (), NOW).faults)


def take_away_the_newest(connection: Connection, certificate: Any) -> None:
    """The newest certificate with all of its seals, and every counter as if it had never been."""
    mine = UUID(certificate["id"])
    jobs, seals, quotes, series = (TABLES[name] for name in ("jobs", "seals", "quotes", "series"))
    quote_id = connection.execute(
        select(jobs.c.quote_id).where(jobs.c.id == UUID(certificate["job_id"]))
    ).scalar_one()
    first = connection.execute(
        select(seals.c.position).where(seals.c.kind == "certificate", seals.c.subject == str(mine))
    ).scalar_one()
    for statement in (
        delete(TABLES["links"]).where(TABLES["links"].c.owner_id == mine),
        delete(TABLES["supersessions"]).where(TABLES["supersessions"].c.superseded_by == mine),
        delete(TABLES["files"]).where(TABLES["files"].c.owner_id == mine),
        delete(TABLES["tasks"]).where(TABLES["tasks"].c.subject_id == mine),
        delete(TABLES["certificates"]).where(TABLES["certificates"].c.id == mine),
        delete(seals).where(seals.c.quote_id == quote_id, seals.c.position >= first),
        quotes.update().where(quotes.c.id == quote_id).values(sealed=first - 1),
        series.update().where(series.c.kind == "certificate").values(last=series.c.last - 1),
    ):
        connection.execute(statement)


def test_the_newest_certificate_taken_away_with_its_seals_and_counters_set_back_is_seen(
    database: Engine, issued: list[Any]
) -> None:
    link = TABLES["links"].c.id
    with reading(database) as connection:
        link_id = connection.execute(select(link)).scalar_one()
    found = after(database, lambda connection: take_away_the_newest(connection, issued[1]))
    told = list(map(said, found))
    assert f"Firm demo: the client link {link_id} was removed." in told
    assert any("The anchor knows 2 certificates of firm demo; here there are 1" in each for each in told)
    # Whoever takes the events away too sets their counter back: the journal is what finds him.
    told = [each for each in told if not each.startswith("Events tell of what did not happen")]
    assert len(told) == 3
    assert told[-1].endswith(
        "its seals end elsewhere than the journal of its firm knows: "
        "what was issued last was removed or slipped in."
    )


def remove_the_job(connection: Connection) -> None:
    """Everything of the one job, its quote included, and the counters set back."""
    for name in (
        *("links", "supersessions", "files", "tasks", "certificates", "entries", "seals", "search_terms"),
        *("jobs", "acceptances", "clients", "quote_cavities"),
    ):
        connection.execute(TABLES[name].delete())
    connection.execute(TABLES["quotes"].delete())
    connection.execute(TABLES["series"].delete())


def test_a_job_taken_away_whole_with_its_counters_is_seen(database: Engine, issued: list[Any]) -> None:
    found = after(database, remove_the_job)
    assert len([each for each in found if "the quote" in said(each)]) == 1


def test_a_row_in_imports_put_in_by_hand_hides_nothing(database: Engine, issued: list[Any]) -> None:
    """The old way: what follows a gap is called imported, so that the gap would be none."""
    with undone(database) as connection:
        job = connection.execute(select(TABLES["jobs"])).mappings().one()
        row = {"quote_id": job["quote_id"], "firm_id": job["firm_id"], "chain": {}, "imported_at": NOW}
        connection.execute(TABLES["imports"].insert().values(**row))
        found = list(checks.verified(connection, (), NOW).faults)
    assert [said(each) for each in found] == [
        f"Firm demo: the import {job['quote_id']} was never sealed: it did not come through the service."
    ]


@pytest.mark.parametrize("kind", [kind for kind in KEPT if kind != "import"])
def test_every_column_that_is_noted_is_held(database: Engine, issued: list[Any], kind: str) -> None:
    table = KEPT[kind]
    for column in table.c:
        if column.name in NOT_NOTED.get(kind, ()):
            continue
        with reading(database) as connection:
            rows = [row for _, row in journal.rows_of(connection, table, firms.id_of(database, "demo"))]
        row = next((row for row in rows if row[column.name] is not None), rows[0])
        change = table.update().where(is_row(table.name, row))
        value = another(column, row[column.name])
        try:
            found = after(
                database,
                lambda connection, change=change, name=column.name, value=value: connection.execute(
                    change.values({name: value})
                ),
            )
        except IntegrityError:
            # A reference, a code or a kind that cannot be: the schema itself refuses it.
            assert column.foreign_keys or column.primary_key or column.constraints, column
        else:
            assert found, f"{table.name}.{column.name} was changed, and nothing was found"


@pytest.mark.parametrize("kind", ["link", "price_lists", "practices"])
def test_a_row_taken_away_or_slipped_in_is_named(database: Engine, issued: list[Any], kind: str) -> None:
    table, firm_id = KEPT[kind], firms.id_of(database, "demo")
    with reading(database) as connection:
        (_, row), *_ = journal.rows_of(connection, table, firm_id)
    gone = delete(table).where(table.c.id == row["id"])
    away = after(database, lambda connection: connection.execute(gone))
    assert [said(each) for each in away] == [f"Firm demo: the {said_kind(kind)} {row['id']} was removed."]
    new = {**row, "id": uuid4()}
    more = after(database, lambda connection: connection.execute(table.insert().values(**new)))
    assert [said(each) for each in more] == [
        f"Firm demo: the {said_kind(kind)} {new['id']} was never sealed: it did not come through the service."
    ]


def said_kind(kind: str) -> str:
    return {"link": "client link", "price_lists": "price list", "practices": "practice profile"}[kind]


def test_the_journal_itself_is_a_chain(database: Engine, issued: list[Any]) -> None:
    """Taken out of, altered, or pointed at something else: its later rows do not fit any more."""
    rows, firm_id = TABLES["journal"], firms.id_of(database, "demo")
    mine = rows.c.firm_id == firm_id
    with reading(database) as connection:
        last = connection.execute(select(func.max(rows.c.position)).where(mine)).scalar_one()
    middle = mine & (rows.c.position == last - 2)
    for change in (
        rows.delete().where(middle),
        *(
            rows.update().where(middle).values(**values)
            for values in ({"sha256": "0" * 64}, {"chain_sha256": "0" * 64}, {"kind": "lances"})
        ),
        rows.update().where(middle).values(subject_id=uuid4()),
        rows.update().where(middle).values(position=last + 1),
    ):
        found = after(database, lambda connection, change=change: connection.execute(change))
        assert "journal is broken" in " ".join(map(said, found)), change


def test_every_kind_has_a_word() -> None:
    assert set(Journalled) == {"quote", *KEPT}
