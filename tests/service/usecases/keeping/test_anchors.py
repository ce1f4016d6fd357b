"""Anchors: what is kept elsewhere finds what nobody could find in the database alone."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from hashlib import sha256
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import Connection, Engine, text

from service.errors import Conflict, Malformed
from service.store import firms
from service.store.session import reading
from service.store.tables import certificates as table
from service.usecases.keeping import anchors
from service.usecases.keeping.anchors import BEGINNING, Anchor, Place
from tests.api import NOW, Api
from tests.refusals import refused

pytestmark = pytest.mark.usefixtures("papers_plain")

UNCHANGED: list[str] = []


@pytest.fixture(scope="module")
def issued(app: Flask) -> list[Any]:
    """Three certificates of one job, each in the place of the one before."""
    api = Api(app)
    job = api.worked()
    return [api.issue(job).json for _ in range(3)]


def anchor(connection: Connection, since: Place | None = BEGINNING) -> Anchor:
    firm = firms.by_code(connection, "demo")
    assert firm is not None
    return anchors.of_firm(connection, firm["id"], code="demo", now=NOW, since=since)


def codes(connection: Connection, held: Anchor) -> list[str]:
    return [each.code for each in anchors.faults(connection, held)]


@contextmanager
def altered(database: Engine, *statements: str) -> Iterator[Connection]:
    """The database after somebody has changed it by hand, triggers and all, until the block ends."""
    with database.connect() as connection:
        transaction = connection.begin()
        try:
            if connection.dialect.name == "postgresql":
                for name in ("certificates", "supersessions", "journal"):
                    connection.execute(text(f"ALTER TABLE {name} DISABLE TRIGGER USER"))
            else:
                names = text("SELECT name FROM sqlite_master WHERE type = 'trigger'")
                for name in connection.execute(names).scalars().all():
                    connection.execute(text(f"DROP TRIGGER {name}"))
            for statement in statements:
                connection.execute(text(statement))
            yield connection
        finally:
            transaction.rollback()


def test_an_anchor_is_where_the_chain_ends(database: Engine, issued: list[Any]) -> None:
    """The chain as the archive's README tells it, worked out here from the records' digests alone."""
    with reading(database) as connection:
        held = anchor(connection)
        assert codes(connection, held) == UNCHANGED
    assert list(held.records) == [each["record_sha256"] for each in issued]
    end = "0" * 64
    for each in held.records:
        end = sha256(f"{end}\n{each}".encode()).hexdigest()
    assert held.head == Place(count=3, sha256=end)
    assert held.head.sha256 == issued[-1]["chain_sha256"]


def test_before_the_first_certificate_it_is_the_beginning(database: Engine, issued: list[Any]) -> None:
    with reading(database) as connection:
        other = firms.by_code(connection, "other")
        assert other is not None
        held = anchors.of_firm(connection, other["id"], code="other", now=NOW, since=BEGINNING)
        assert (held.head, tuple(held.records)) == (BEGINNING, ())
        assert codes(connection, held) == UNCHANGED


def test_it_comes_back_from_its_file_as_it_was(database: Engine, issued: list[Any]) -> None:
    with reading(database) as connection:
        early = Place(count=1, sha256=issued[0]["chain_sha256"])
        for held in (anchor(connection), anchor(connection, None), anchor(connection, early)):
            for signature in (None, b"as if signed"):
                signed = replace(held, signature=signature)
                assert anchors.read(anchors.written(signed)) == signed
                assert anchors.signed_part(signed) == anchors.signed_part(held)


def test_it_says_nothing_but_digests(database: Engine, issued: list[Any]) -> None:
    with reading(database) as connection:
        plain = json.loads(anchors.written(anchor(connection)))
    assert plain.keys() == {"format", "firm", "made_at", "head", "journal", "since", "records", "signature"}


NEWEST = "(SELECT id FROM certificates ORDER BY position DESC LIMIT 1)"
AWAY = (
    f"DELETE FROM supersessions WHERE superseded_by = {NEWEST}",
    f"DELETE FROM certificates WHERE id = {NEWEST}",
)
FORGED = sha256(b"another record").hexdigest()


def test_the_newest_certificate_that_was_taken_away_is_missed(database: Engine, issued: list[Any]) -> None:
    """Nothing in the database need say so: seals and counters can be set back."""
    with reading(database) as connection:
        full, bare = anchor(connection), anchor(connection, None)
    with altered(database, *AWAY) as connection:
        assert codes(connection, full) == codes(connection, bare) == ["keeping.anchor_beyond"]


def test_a_chain_that_was_made_anew_is_found(database: Engine, issued: list[Any]) -> None:
    """The second record is forged, and every digest after it fits again."""
    with reading(database) as connection:
        full, bare = anchor(connection), anchor(connection, None)
    first, third = issued[0]["chain_sha256"], issued[2]["record_sha256"]
    second_end = sha256(f"{first}\n{FORGED}".encode()).hexdigest()
    third_end = sha256(f"{second_end}\n{third}".encode()).hexdigest()
    forgery = (
        f"UPDATE certificates SET record_sha256 = '{FORGED}', chain_sha256 = '{second_end}'"
        " WHERE position = 2",
        f"UPDATE certificates SET previous_sha256 = '{second_end}', chain_sha256 = '{third_end}'"
        " WHERE position = 3",
    )
    with altered(database, *forgery) as connection:
        assert codes(connection, bare) == ["keeping.anchor_other_chain"]
        assert codes(connection, full) == ["keeping.anchor_other_record", "keeping.anchor_other_chain"]


def test_a_journal_that_was_cut_or_made_anew_is_found(database: Engine, issued: list[Any]) -> None:
    """Whatever else was issued than certificates is in it, and nothing in the database need say so."""
    with reading(database) as connection:
        held = anchor(connection, None)
    mine = f"position = {held.journal.count} AND chain_sha256 = '{held.journal.sha256}'"
    with altered(database, f"DELETE FROM journal WHERE {mine}") as connection:
        assert codes(connection, held) == ["keeping.anchor_journal_beyond"]
    anew = f"UPDATE journal SET sha256 = '{FORGED}', chain_sha256 = '{FORGED}' WHERE {mine}"
    with altered(database, anew) as connection:
        assert codes(connection, held) == ["keeping.anchor_other_journal"]


def test_what_was_issued_after_it_is_no_fault(database: Engine, issued: list[Any]) -> None:
    early = Anchor(firm="demo", made_at=NOW, head=Place(count=2, sha256=issued[1]["chain_sha256"]))
    with reading(database) as connection:
        assert codes(connection, early) == UNCHANGED
        assert codes(connection, replace(early, firm="nobody")) == ["keeping.anchor_of_no_firm"]


def test_digests_are_told_only_from_a_place_in_this_chain(database: Engine, issued: list[Any]) -> None:
    with reading(database) as connection:
        for place in (Place(count=1, sha256=FORGED), Place(count=4, sha256=issued[2]["chain_sha256"])):
            with refused(Conflict, "does not lead from its place"):
                anchor(connection, place)


def changed(plain: dict[str, Any], **values: Any) -> bytes:
    return json.dumps({**plain, **values}).encode()


def test_what_is_no_anchor_is_refused(database: Engine, issued: list[Any]) -> None:
    with reading(database) as connection:
        content = anchors.written(anchor(connection))
    plain = json.loads(content)
    assert anchors.read(changed(plain))
    bad: list[dict[str, Any]] = [
        {"format": "another"},
        {"firm": "../x"},
        {"firm": 3},
        {"made_at": "2026-W48"},
        {"made_at": "2026-11-25T08:00:00"},
        {"head": {"count": True, "sha256": FORGED}},
        {"head": {"count": -1, "sha256": FORGED}},
        {"head": {"count": 3}},
        {"journal": {"count": 3}},
        {"journal": None},
        {"records": ["x"]},
        {"records": None},
        {"signature": "?"},
        {"signature": 1},
        {"client": "somebody"},
    ]
    for values in bad:
        with refused(Malformed, "This is no anchor"):
            anchors.read(changed(plain, **values))
    for other in (b"", b"[]", b"\xff", b'{"format":1,"format":1}', b"[" * 100_000, content + b"x"):
        with refused(Malformed, "This is no anchor"):
            anchors.read(other)


def test_digests_that_do_not_lead_to_the_head_are_refused(database: Engine, issued: list[Any]) -> None:
    with reading(database) as connection:
        plain = json.loads(anchors.written(anchor(connection)))
    for records in ([], plain["records"][:2], plain["records"][::-1], [*plain["records"], FORGED]):
        with refused(Malformed, "do not lead to its head"):
            anchors.read(changed(plain, records=records))


def test_a_file_beyond_its_limit_is_not_read() -> None:
    with refused(Malformed, "no more than"):
        anchors.read(b" " * (anchors.LARGEST_BYTES + 1))


def test_every_certificate_is_in_the_chain_that_anchors_tell(database: Engine, issued: list[Any]) -> None:
    with reading(database) as connection:
        count = len(connection.execute(table.select()).all())
        assert anchor(connection, None).head.count == count == len(issued)
