"""Seals are numbered without gaps, and whoever seals a quote is waited for."""

from uuid import UUID

import pytest
from sqlalchemy import Connection, Engine
from sqlalchemy.exc import IntegrityError

from service.errors import Unavailable
from service.store import seals
from service.store.session import writing
from tests.stored import DIGEST, Site, firm, impatient, quote


def add(connection: Connection, quote_id: UUID, *positions: int, subject: str = "") -> None:
    rows = [
        {
            "quote_id": quote_id,
            "position": position,
            "kind": "offer",
            "subject": subject or f"s-{position}",
            "sha256": DIGEST,
            "chain_sha256": str(position) * 64,
        }
        for position in positions
    ]
    seals.add_all(connection, rows)


def test_positions_are_taken_one_after_the_other(site: Site) -> None:
    quote_id, other = (quote(site.connection, site.firm_id) for _ in range(2))
    taken = [seals.take(site.connection, quote_id, count) for count in (1, 3, 2)]
    assert taken == [(site.firm_id, position) for position in (1, 2, 5)]
    assert seals.take(site.connection, other, 1) == (site.firm_id, 1)


def test_a_chain_ends_in_its_last_seal(site: Site) -> None:
    quote_id, other = (quote(site.connection, site.firm_id) for _ in range(2))
    assert seals.end(site.connection, quote_id) == seals.NO_PREVIOUS
    add(site.connection, quote_id, 2, 1)
    add(site.connection, other, 3)
    assert seals.end(site.connection, quote_id) == "2" * 64
    assert [row["position"] for row in seals.of_quote(site.connection, quote_id)] == [1, 2]


@pytest.mark.parametrize(("position", "subject"), [(1, "another"), (2, "s-1")])
def test_a_place_and_a_subject_are_sealed_once(site: Site, position: int, subject: str) -> None:
    quote_id = quote(site.connection, site.firm_id)
    add(site.connection, quote_id, 1)
    with pytest.raises(IntegrityError), site.connection.begin_nested():
        add(site.connection, quote_id, position, subject=subject)


@pytest.mark.parametrize("held_by", ["take", "hold"])
def test_nobody_seals_a_quote_that_is_held(database: Engine, held_by: str) -> None:
    with writing(database) as connection:
        quote_id = quote(connection, firm(connection))
    with writing(database) as first:
        seals.hold(first, quote_id) if held_by == "hold" else seals.take(first, quote_id, 1)
        with pytest.raises(Unavailable), impatient(database) as second:
            seals.take(second, quote_id, 1)
