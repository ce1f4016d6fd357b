"""Quotes come with their clients, page by page and state by state; their cavities keep their order."""

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest
from sqlalchemy import Connection, Engine
from sqlalchemy.exc import IntegrityError

from service.errors import Unavailable
from service.store import clients, quotes
from service.store.session import writing
from tests.stored import DIGEST, LATER, NOW, PERSON, TODAY, Site, cavity, firm, impatient, quote


@pytest.fixture
def firm_id(connection: Connection) -> UUID:
    """A firm without a quote."""
    return firm(connection)


def listed(connection: Connection, firm_id: UUID, **asked: Any) -> list[UUID]:
    asked = {"state": None, "today": TODAY, "limit": 10, "before": None, **asked}
    return [row["id"] for row in quotes.page(connection, firm_id=firm_id, **asked)]


def labels(connection: Connection, quote_id: UUID, *asked: str) -> list[str]:
    return [row["label"] for row in quotes.cavities_of(connection, quote_id, asked or None)]


def test_a_quote_comes_with_its_client_to_its_firm_alone(connection: Connection, firm_id: UUID) -> None:
    quote_id = quote(connection, firm_id)
    found = quotes.by_id(connection, firm_id=firm_id, quote_id=quote_id)
    assert found
    assert (found["client"], found["client_sha256"], found["client_erased_at"]) == (PERSON, DIGEST, None)
    assert str(found["total"]) == "12.50"
    assert quotes.by_id(connection, firm_id=firm(connection), quote_id=quote_id) is None


def test_a_quote_whose_client_was_erased_is_still_there(site: Site) -> None:
    quote_id = quote(site.connection, site.firm_id)
    clients.erase(site.connection, quote_id, reason="Asked for", key_id=site.key_id, now=LATER)
    found = quotes.by_id(site.connection, firm_id=site.firm_id, quote_id=quote_id)
    assert found
    assert (found["client"], found["client_erased_at"]) == (None, LATER)


def test_cavities_keep_the_order_they_were_sent_in(connection: Connection, firm_id: UUID) -> None:
    quote_id = quote(connection, firm_id, "W2", "A1", "W1")
    assert labels(connection, quote_id) == ["W2", "A1", "W1"]
    assert labels(connection, quote_id, "W1", "W2", "None") == ["W2", "W1"]
    quotes.replace_cavities(connection, quote_id, [cavity("F1"), cavity("W1")])
    assert labels(connection, quote_id) == ["F1", "W1"]
    with pytest.raises(IntegrityError), connection.begin_nested():
        quotes.replace_cavities(connection, quote_id, [cavity("F1"), cavity("F1")])
    assert labels(connection, quote_id) == ["F1", "W1"]


def test_a_change_counts_the_version_up(connection: Connection, firm_id: UUID) -> None:
    quote_id, other = quote(connection, firm_id), quote(connection, firm_id)
    quotes.update(connection, quote_id, {"reference": "SO-2"})
    quotes.update(connection, quote_id, {"reference": "SO-3"})
    found = {each: quotes.by_id(connection, firm_id=firm_id, quote_id=each) for each in (quote_id, other)}
    assert {each: row and (row["version"], row["reference"]) for each, row in found.items()} == {
        quote_id: (3, "SO-3"),
        other: (1, "SO-1"),
    }


def test_summaries_count_parts_and_leave_the_basis(connection: Connection, firm_id: UUID) -> None:
    summary = {"mass_kg": 3, "bags": 2, "undeclared": [{"pointer": "/sampling"}]}
    quote_id = quote(connection, firm_id, summary=summary)
    quotes.replace_cavities(connection, quote_id, [cavity("W1", count=3), cavity("W2")])
    quote(connection, firm_id)
    (found,) = quotes.with_summaries(connection, [quote_id])
    assert (found["id"], found["parts"], found["bags"]) == (quote_id, 4, 2)
    assert found["undeclared"] == summary["undeclared"]


def test_a_page_is_newest_first_and_goes_on_where_it_ended(connection: Connection, firm_id: UUID) -> None:
    newer = [quote(connection, firm_id) for _ in range(4)][::-1]
    quote(connection, firm(connection))
    assert listed(connection, firm_id) == newer
    assert listed(connection, firm_id, limit=2) == newer[:2]
    assert listed(connection, firm_id, limit=2, before=newer[1]) == newer[2:]
    (head,) = quotes.page(connection, firm_id=firm_id, state=None, today=TODAY, limit=1, before=None)
    assert not {*quotes.HEAVY} & head.keys()


def test_an_offer_lapses_by_itself_after_its_last_day(connection: Connection, firm_id: UUID) -> None:
    states = {state: quote(connection, firm_id, state=state) for state in ("draft", "accepted", "withdrawn")}
    offer = quote(connection, firm_id, state="offered", number="Q-1", valid_until=TODAY)
    for state, quote_id in states.items():
        assert listed(connection, firm_id, state=state) == [quote_id]

    def on(state: str, day: date) -> list[UUID]:
        return listed(connection, firm_id, state=state, today=day)

    assert (on("offered", TODAY), on("lapsed", TODAY)) == ([offer], [])
    tomorrow = TODAY + timedelta(days=1)
    assert (on("offered", tomorrow), on("lapsed", tomorrow)) == ([], [offer])


def test_every_quote_of_every_firm_oldest_first(connection: Connection, firm_id: UUID) -> None:
    other = firm(connection)
    first, second = quote(connection, firm_id, number="Q-1"), quote(connection, other)
    found = [(UUID(quote_id), UUID(of)) for quote_id, of in quotes.every(connection)]
    assert found == [(first, firm_id), (second, other)]


def test_a_quote_that_is_held_is_waited_for(database: Engine) -> None:
    with writing(database) as connection:
        firm_id = firm(connection)
        quote_id = quote(connection, firm_id, updated_at=NOW)
    with writing(database) as first:
        quotes.by_id(first, firm_id=firm_id, quote_id=quote_id, lock=True)
        with pytest.raises(Unavailable), impatient(database) as second:
            quotes.by_id(second, firm_id=firm_id, quote_id=quote_id, lock=True)


def test_totals_and_lines_come_without_what_they_were_worked_out_from(
    connection: Connection, firm_id: UUID
) -> None:
    quote_id = quote(connection, firm_id, summary={"mass_kg": 3})
    lines = [cavity("W2", line={"mass_kg": 1}), cavity("W1", line={"mass_kg": 2}, count=2)]
    quotes.replace_cavities(connection, quote_id, lines)
    totals = quotes.totals_by_id(connection, firm_id=firm_id, quote_id=quote_id)
    assert totals
    assert (totals["summary"], "basis" in totals) == ({"mass_kg": 3}, False)
    assert quotes.totals_by_id(connection, firm_id=firm(connection), quote_id=quote_id) is None
    found = quotes.lines_of(connection, quote_id)
    assert [row["line"] for row in found] == [{"mass_kg": 1}, {"mass_kg": 2}]
    assert not {"surveyed", "planned"} & found[0].keys()
