"""Subscriptions as they are kept, found, changed and taken away."""

from typing import Any

from uuid6 import uuid7

from service.store import subscriptions
from tests.stored import LATER, NOW, Site, firm


def row(site: Site, code: str = "sales", **columns: Any) -> dict[str, Any]:
    return {
        "id": uuid7(),
        "firm_id": site.firm_id,
        "code": code,
        "url": "https://sales.example/events",
        "kinds": ["quote.offered"],
        "secret": {"locked": "x"},
        "created_at": NOW,
        **columns,
    }


def test_they_are_listed_by_their_codes_and_each_firm_has_its_own(site: Site) -> None:
    other = firm(site.connection)
    for each in (row(site, "sales"), row(site, "books"), row(site, "sales", firm_id=other)):
        subscriptions.add(site.connection, each)
    found = subscriptions.of_firm(site.connection, site.firm_id, hold=True)
    assert [each["code"] for each in found] == ["books", "sales"]
    assert subscriptions.by_code(site.connection, firm_id=other, code="books") is None


def test_one_is_changed_noted_and_taken_away(site: Site) -> None:
    mine = row(site)
    subscriptions.add(site.connection, mine)
    subscriptions.change(site.connection, mine["id"], {"url": "https://other.example/"})
    subscriptions.note_delivery(site.connection, mine["id"], LATER)
    found = subscriptions.by_code(site.connection, firm_id=site.firm_id, code="sales", lock=True)
    assert found
    assert (found["url"], found["delivered_at"], found["kinds"]) == (
        "https://other.example/",
        LATER,
        ["quote.offered"],
    )
    assert found == subscriptions.by_id(site.connection, mine["id"])
    subscriptions.remove(site.connection, mine["id"])
    assert subscriptions.by_id(site.connection, mine["id"]) is None
