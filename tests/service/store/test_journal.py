"""A firm's journal has one end, and whoever adds to it is waited for."""

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError

from service.errors import Unavailable
from service.store import journal, tables
from service.store.row_types import Journalled
from service.store.session import writing
from tests.stored import DIGEST, Site, firm, impatient, key, quote


def row(site: Site, position: int, **columns: object) -> Journalled:
    plain = {"firm_id": site.firm_id, "position": position, "kind": "key", "subject_id": site.firm_id}
    return {**plain, "sha256": DIGEST, "chain_sha256": str(position) * 64, **columns}  # type: ignore[typeddict-item]


def test_it_ends_in_its_newest_row_and_knows_the_newest_of_each_thing(site: Site) -> None:
    assert journal.end(site.connection, site.firm_id) is None
    assert journal.last(site.connection, kind="key", subject_id=site.firm_id) is None
    rows = [row(site, 1), row(site, 2, sha256="2" * 64), row(site, 3, kind="link")]
    for each in rows:
        journal.add(site.connection, each)
    assert journal.end(site.connection, site.firm_id) == rows[2]
    assert list(journal.of_firm(site.connection, site.firm_id)) == rows
    assert journal.last(site.connection, kind="key", subject_id=site.firm_id) == "2" * 64
    assert journal.newest(site.connection, firm_id=site.firm_id, kind="key") == {site.firm_id: "2" * 64}
    assert journal.end(site.connection, firm(site.connection)) is None


def test_a_place_is_taken_once(site: Site) -> None:
    journal.add(site.connection, row(site, 1))
    with pytest.raises(IntegrityError), site.connection.begin_nested():
        journal.add(site.connection, row(site, 1, kind="link"))


def test_rows_are_read_by_whose_they_are(site: Site) -> None:
    key_id, other = key(site.connection, site.firm_id), firm(site.connection)
    found = dict(journal.rows_of(site.connection, tables.keys, site.firm_id))
    assert found[key_id] == journal.row_of(site.connection, tables.keys, key_id)
    assert {each["firm_id"] for each in found.values()} == {site.firm_id}
    assert [each for each, _ in journal.rows_of(site.connection, tables.firms, other)] == [other]


def test_quotes_that_are_gone_are_known(site: Site) -> None:
    there = quote(site.connection, site.firm_id)
    journal.add(site.connection, row(site, 1, kind="quote", subject_id=there))
    journal.add(site.connection, row(site, 2, kind="quote"))
    journal.add(site.connection, row(site, 3, kind="quote"))
    assert list(journal.removed_quotes(site.connection, site.firm_id)) == [site.firm_id]


def test_nobody_adds_to_a_journal_that_is_held(database: Engine) -> None:
    with writing(database) as connection:
        firm_id = firm(connection)
    with writing(database) as first:
        journal.hold(first, firm_id)
        with pytest.raises(Unavailable), impatient(database) as second:
            journal.hold(second, firm_id)
