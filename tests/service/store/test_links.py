"""A link is in force until it expires or is revoked, and its firm's to revoke."""

from typing import Any
from uuid import UUID, uuid4

from uuid6 import uuid7

from service.store import links
from tests.stored import LATER, NOW, Site, firm, moment


def add(site: Site, owner_id: UUID, **columns: Any) -> UUID:
    link_id = uuid7()
    row = {"id": link_id, "kind": "quote", "owner_id": owner_id, "expires_at": LATER, "created_at": NOW}
    links.add(site.connection, {**row, "firm_id": site.firm_id, **columns})
    return link_id


def test_a_link_holds_until_the_moment_it_expires(site: Site) -> None:
    link_id = add(site, uuid4())
    assert links.in_force(site.connection, link_id, NOW)
    assert links.in_force(site.connection, link_id, LATER) is None
    assert links.in_force(site.connection, uuid7(), NOW) is None


def test_a_firm_revokes_its_own_link_once(site: Site) -> None:
    link_id, other = add(site, uuid4()), firm(site.connection)
    revoked = [
        links.revoke(site.connection, firm_id=firm_id, link_id=link_id, now=NOW)
        for firm_id in (other, site.firm_id, site.firm_id)
    ]
    assert revoked == [0, 1, 0]
    assert links.in_force(site.connection, link_id, NOW) is None


def test_links_in_force_of_one_document_the_oldest_first(site: Site) -> None:
    owner = uuid4()
    younger, older = add(site, owner, created_at=moment(0.5)), add(site, owner)
    add(site, owner, expires_at=NOW)
    add(site, owner, kind="certificate")
    add(site, uuid4())
    links.revoke(site.connection, firm_id=site.firm_id, link_id=add(site, owner), now=NOW)
    found = links.of(site.connection, kind="quote", owner_id=owner, now=NOW)
    assert [row["id"] for row in found] == [older, younger]
