"""Is everything there that was answered as done: once, whole, and nothing else."""

import time
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Engine, Row, func, select, text

from service.store import tables, tasks
from service.store.objects import Objects
from service.store.session import open_database, reading, writing
from service.usecases.keeping import checks
from tests.faults.client import SUBSCRIBED, Client, Sent, Told
from tests.receiver import Received

WORKED_OFF_WITHIN_S = 900
NUMBERED = {"quote": tables.quotes, "job": tables.jobs, "certificate": tables.certificates}


def faults(
    database_url: str, client: Client, received: Sequence[Received], objects: Objects | None = None
) -> list[str]:
    """A sentence for each thing that is not as it was told."""
    told = client.told
    database = open_database(database_url, operator=True, objects=objects)
    found = [*told.faults, *_repeated(client), *_worked_off(database_url), *_documents(client)]
    with reading(database) as connection:
        found += [
            *_quotes(connection, told),
            *_states(connection, told),
            *_entries(connection, told),
            *_certificates(connection, told),
            *_numbers(connection),
            *_wholeness(connection),
            *_answers(connection, told),
            *_tasks(connection),
            *_events(connection, received),
        ]
        if database.dialect.name == "sqlite":
            found += [row[0] for row in connection.execute(text("PRAGMA integrity_check")) if row[0] != "ok"]
            found += [f"dangling: {row}" for row in connection.execute(text("PRAGMA foreign_key_check"))]
    found += checks.verify(database).faults
    database.dispose()
    return found


def is_left(database_url: str) -> bool:
    """Whether anything is still to be made; what rests is let go on."""
    database = open_database(database_url, operator=True)
    try:
        _hurry(database)
        with reading(database) as connection:
            return connection.execute(select(tables.tasks.c.id).limit(1)).first() is not None
    finally:
        database.dispose()


def _worked_off(database_url: str) -> Iterator[str]:
    """All that was to be done is, however long the queue has become."""
    deadline = time.monotonic() + WORKED_OFF_WITHIN_S
    while is_left(database_url):
        if time.monotonic() > deadline:
            yield "something is still to be done."
            return
        time.sleep(0.2)


def _hurry(database: Engine) -> None:
    """Do what a clock would and an operator: nobody waits here for what was killed several times."""
    now = datetime.now(UTC)
    with writing(database) as connection:
        tasks.revive(connection, now)
        # What was killed goes behind the others.
        rests = tables.tasks.c.due_at > now
        connection.execute(tables.tasks.update().where(rests).values(due_at=now))


def _tasks(connection: Connection) -> Iterator[str]:
    """Of each document there is one file, sealed."""
    sealed = select(func.count()).select_from(tables.seals).where(tables.seals.c.kind.like("%_file"))
    files = select(func.count()).select_from(tables.files)
    if (of_seals := connection.execute(sealed).scalar_one()) != (
        of_files := connection.execute(files).scalar_one()
    ):
        yield f"{of_files} files are there, and {of_seals} were sealed."


def _events(connection: Connection, received: Sequence[Received]) -> Iterator[str]:
    """Each event was delivered, once or more and always in the same words; and nothing else was."""
    there = {str(event_id) for event_id in connection.execute(select(tables.events.c.id)).scalars()}
    said: dict[str, set[bytes]] = {}
    for each in received:
        said.setdefault(each.headers["webhook-id"], set()).add(each.body)
    yield from (f"event {event_id} was never delivered." for event_id in there - said.keys())
    yield from (f"event {event_id} is not there, and was delivered." for event_id in said.keys() - there)
    yield from (f"event {event_id} was told in other words." for event_id in said if len(said[event_id]) > 1)


def _repeated(client: Client) -> Iterator[str]:
    """Every answered write under a key, sent once more, has its first answer again."""
    for sent in _stored(client.told):
        if sent.key and client.settled(sent) != sent.answer:
            yield f"{sent.what} of {sent.about}: the repeated request had another answer."


def _documents(client: Client) -> Iterator[str]:
    """What was numbered has its file, whenever it is asked for."""
    for sent in _stored(client.told):
        folder = {"offer": "quotes", "certificate": "certificates"}.get(sent.what)
        if folder:
            assert sent.answer is not None
            file = client.read(f"/v1/{folder}/{sent.answer.json['id']}/document", "office")
            if file.status != 200 or not file.body.startswith(b"%PDF-"):
                yield f"{sent.what} of {sent.about} has no document: {file.status}."


def _stored(told: Told, *whats: str) -> list[Sent]:
    return [sent for sent in told.writes if sent.stored and (not whats or sent.what in whats)]


def _counts(connection: Connection, column: Any) -> dict[Any, int]:
    rows: list[Row[Any]] = list(connection.execute(select(column, func.count()).group_by(column)).all())
    return {row[0]: row[1] for row in rows}


def _quotes(connection: Connection, told: Told) -> Iterator[str]:
    there = _counts(connection, tables.quotes.c.reference)
    for sent in told.writes:
        if sent.what != "quote":
            continue
        count = there.pop(sent.about, 0)
        if sent.stored and count != 1:
            yield f"quote {sent.about} is there {count} times."
        elif not sent.stored and count > (1 if _in_doubt(sent) else 0):
            yield f"quote {sent.about} was not stored, and is there {count} times."
    yield from (f"quote {reference} was never sent." for reference in there)


def _in_doubt(sent: Sent) -> bool:
    return sent.answer is None or (sent.answer.status == 503 and b"not known" in sent.answer.body)


def _states(connection: Connection, told: Told) -> Iterator[str]:
    """Each quote is where the last step that was answered as done has left it."""
    rank = {"quote": "draft", "offer": "offered", "acceptance": "accepted", "withdrawal": "withdrawn"}
    expected = {sent.about: rank[sent.what] for sent in _stored(told, *rank)}
    rows = connection.execute(select(tables.quotes.c.reference, tables.quotes.c.state)).all()
    for reference, state in rows:
        if reference in expected and state != expected[reference]:
            yield f"quote {reference} is {state}, not {expected[reference]}."
    changed = {sent.path: sent.about for sent in _stored(told, "change")}
    rows = connection.execute(select(tables.quotes.c.id, tables.quotes.c.body, tables.quotes.c.version)).all()
    for quote_id, body, version in rows:
        km = changed.get(f"/v1/quotes/{quote_id}")
        if km is not None and (body["travel_km"], version) != (km, 2):
            yield f"quote {quote_id} was not changed once, by who was told so."


def _entries(connection: Connection, told: Told) -> Iterator[str]:
    there = _counts(connection, tables.entries.c.by)
    for sent in told.writes:
        if sent.what != "entries":
            continue
        mark, length = sent.about
        count = there.pop(mark, 0)
        if count != (length if sent.stored else 0):
            yield f"{mark} has {count} entries of {length}."
    yield from (f"{mark} was never sent." for mark in there)
    positions = select(
        tables.entries.c.job_id,
        func.count(),
        func.min(tables.entries.c.position),
        func.max(tables.entries.c.position),
    ).group_by(tables.entries.c.job_id)
    for job_id, count, first, last in connection.execute(positions):
        if (first, last) != (1, count):
            yield f"the entries of job {job_id} are not numbered from 1 without gaps."


def _certificates(connection: Connection, told: Told) -> Iterator[str]:
    there = {
        str(job_id): count for job_id, count in _counts(connection, tables.certificates.c.job_id).items()
    }
    expected = Counter(sent.about for sent in _stored(told, "certificate"))
    if there != expected:
        yield f"certificates by job: {there}, but told were {dict(expected)}."
    withdrawn = connection.execute(select(func.count()).select_from(tables.withdrawals)).scalar_one()
    if withdrawn != len(_stored(told, "withdrawal of")):
        yield f"{withdrawn} certificates are withdrawn, but told were {len(_stored(told, 'withdrawal of'))}."


def _numbers(connection: Connection) -> Iterator[str]:
    """Numbers are consecutive from 1, and the series knows the last one."""
    for series in connection.execute(select(tables.series)).mappings():
        serials = sorted(_serials(connection, series["kind"], series["firm_id"]))
        if serials != list(range(1, series["last"] + 1)):
            yield f"{series['kind']} numbers up to {series['last']} have gaps or doubles: {serials}."


def _serials(connection: Connection, kind: str, firm_id: Any) -> list[int]:
    if kind == "event":
        mine = select(tables.events.c.position).where(tables.events.c.firm_id == firm_id)
        return list(connection.execute(mine).scalars())
    table = NUMBERED[kind]
    mine = select(table.c.number).where(table.c.firm_id == firm_id, table.c.number.is_not(None))
    return [int(number.rsplit("-", 1)[1]) for number in connection.execute(mine).scalars()]


def _wholeness(connection: Connection) -> Iterator[str]:
    """What belongs together is there together."""
    wrong = {
        "a quote without its cavity": "SELECT count(*) FROM quotes WHERE "
        "(SELECT count(*) FROM quote_cavities c WHERE c.quote_id = quotes.id) <> 1",
        "a quote that was offered without a number, or not offered with one": "SELECT count(*) FROM quotes "
        "WHERE (number IS NULL) <> (offered_at IS NULL)",
        "an accepted quote without its one job": "SELECT count(*) FROM quotes WHERE "
        "(SELECT count(*) FROM jobs WHERE jobs.quote_id = quotes.id) "
        "<> (CASE state WHEN 'accepted' THEN 1 ELSE 0 END)",
        # Which parts it takes, and what was recorded since, `check` works out.
        "a job that is certified without a certificate that stands": "SELECT count(*) FROM jobs WHERE "
        "state = 'certified' AND NOT EXISTS (SELECT 1 FROM certificates c WHERE c.job_id = jobs.id "
        "AND NOT EXISTS (SELECT 1 FROM withdrawals w WHERE w.certificate_id = c.id))",
    }
    for what, query in wrong.items():
        count = connection.execute(text(query)).scalar_one()
        if count:
            yield f"{count} times {what}."


def _answers(connection: Connection, told: Told) -> Iterator[str]:
    """There is no kept answer without its effect, and no effect under a key without its answer."""
    kept = {
        row.idempotency_key: row.answer
        for row in connection.execute(select(tables.answers.c.idempotency_key, tables.answers.c.answer))
        if row.idempotency_key != SUBSCRIBED
    }
    expected = {sent.key: sent for sent in _stored(told) if sent.key}
    if set(kept) != set(expected):
        yield f"{len(kept)} answers are kept, but {len(expected)} were given under keys."
    for key, answer in kept.items():
        sent = expected.get(key)
        if sent and sent.answer and answer["body"].encode() != sent.answer.body:
            yield f"the kept answer to {sent.what} of {sent.about} is not the one that was given."
