"""A key is found by its prefix, shown without its digest, and ends once."""

import pytest
from sqlalchemy import Connection
from sqlalchemy.exc import IntegrityError

from service.store import keys
from tests.stored import DIGEST, LATER, NOW, Site, firm, key, moment


def test_a_key_is_found_by_its_prefix(site: Site) -> None:
    first = key(site.connection, site.firm_id, prefix="abc", roles=["sales", "office"], label="Ä")
    next_id = key(site.connection, site.firm_id, prefix="abd", first_id=first)
    found = keys.by_prefix(site.connection, "abc")
    assert found
    assert (found["id"], found["roles"], found["label"]) == (first, ["sales", "office"], "Ä")
    assert (found["digest"], found["created_at"], found["first_id"]) == (DIGEST, NOW, None)
    assert found["revoked_at"] is found["last_used_at"] is found["crew_id"] is None
    after = keys.by_prefix(site.connection, "abd")
    assert after
    assert after["first_id"] == first
    assert keys.by_prefix(site.connection, "ab") is None
    assert [row["id"] for row in keys.by_ids(site.connection, [next_id, first])] == [first, next_id]


def test_a_prefix_is_one_keys_of_all_firms(site: Site) -> None:
    key(site.connection, site.firm_id, prefix="abc")
    with pytest.raises(IntegrityError), site.connection.begin_nested():
        key(site.connection, firm(site.connection), prefix="abc")


def test_every_key_is_shown_with_its_firm_and_without_its_digest(connection: Connection) -> None:
    sites = [Site(connection) for _ in range(2)]
    shown = keys.every(connection)
    assert [(row["id"], row["firm_id"]) for row in shown] == [(site.key_id, site.firm_id) for site in sites]
    assert all(row["firm"].startswith("f-") for row in shown)
    assert not any("digest" in row for row in shown)


def test_a_key_ends_once_and_an_end_to_come_can_be_brought_forward(site: Site) -> None:
    key(site.connection, site.firm_id, prefix="abc")
    assert keys.end(site.connection, "abc", at=moment(2), now=NOW) == 1
    assert keys.end(site.connection, "abc", at=LATER, now=NOW) == 1
    assert keys.end(site.connection, "abc", at=moment(9), now=moment(1)) == 0
    assert keys.end(site.connection, "nobody's", at=NOW, now=NOW) == 0
    found = keys.by_prefix(site.connection, "abc")
    assert found
    assert found["revoked_at"] == LATER


def test_use_is_noted_of_one_key(site: Site) -> None:
    other = key(site.connection, site.firm_id)
    keys.note_use(site.connection, other, LATER)
    used = {row["id"]: row["last_used_at"] for row in keys.by_ids(site.connection, [site.key_id, other])}
    assert used == {site.key_id: None, other: LATER}
