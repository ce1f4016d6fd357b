"""What is sought is found newest first, by all that is known of it, from an index."""

from datetime import timedelta

import pytest
from sqlalchemy import Connection, select, text

from service.store import finding, terms
from service.store.finding import Sought, ids_newest_first, newest_first
from service.store.tables import quotes
from service.store.terms import Term
from tests.stored import NOW, Site, quote

TOWN, NAME = ("place", "musterdorf"), ("client", "muster")


def found(site: Site, limit: int = 10, before: object = None, **known: object) -> list[object]:
    sought = Sought(**known)  # type: ignore[arg-type]
    statement = newest_first(
        select(quotes.c.id),
        quotes,
        firm_id=site.firm_id,
        sought=sought,
        before=before,
        limit=limit,  # type: ignore[arg-type]
    )
    return list(site.connection.execute(statement).scalars())


@pytest.fixture
def three(site: Site) -> list[object]:
    """Three quotes of a town, the second of them Muster's."""
    made = [quote(site.connection, site.firm_id) for _ in range(3)]
    for number, each in enumerate(made):
        named = [TOWN, *([NAME] if number == 1 else [])]
        terms.replace(site.connection, firm_id=site.firm_id, owner_id=each, terms=named)
    return list(made)


def test_all_that_is_known_must_hold(site: Site, three: list[object]) -> None:
    assert found(site, terms=[TOWN]) == three[::-1]
    assert found(site, terms=[TOWN, NAME]) == [three[1]]
    assert found(site, terms=[NAME, ("place", "elsewhere")]) == []
    assert found(site, terms=[TOWN], limit=2) == three[:0:-1]
    assert found(site, terms=[TOWN], before=three[2]) == three[1::-1]


def test_words_are_found_by_their_beginning(site: Site, three: list[object]) -> None:
    assert found(site, begins=[("place", "muster")]) == three[::-1]
    assert found(site, begins=[("place", "m")], limit=2, before=three[2]) == three[1::-1]
    assert found(site, begins=[("client", "must")], terms=[TOWN]) == [three[1]]
    assert found(site, begins=[("client", "mustes")]) == []
    # By code points, whatever the database's language sorts by: what has an umlaut begins with it.
    terms.replace(site.connection, firm_id=site.firm_id, owner_id=three[0], terms=[("place", "öhlersdorf")])
    assert found(site, begins=[("place", "öh")]) == [three[0]]
    assert found(site, begins=[("place", "o")]) == []


def test_a_beginning_is_looked_up_in_the_index(site: Site, connection: Connection) -> None:
    if connection.dialect.name != "sqlite":
        pytest.skip("SQLite tells its plan without figures")
    sought = Sought(begins=[("place", "muster")])
    statement = newest_first(
        select(quotes.c.id), quotes, firm_id=site.firm_id, sought=sought, before=None, limit=5
    )
    written = str(statement.compile(connection, compile_kwargs={"literal_binds": True}))
    plan = [row.detail for row in connection.execute(text(f"EXPLAIN QUERY PLAN {written}"))]
    index = "ix_search_terms_firm_id_kind_term_owner_id (firm_id=? AND kind=? AND term>? AND term<?)"
    assert [step for step in plan if index in step]


def test_the_word_that_is_rarest_as_a_rule_leads(site: Site) -> None:
    known = [("place", "7"), ("place", "am"), ("place", "musterdorf")]
    for terms_known in (known, known[::-1]):
        statement = newest_first(
            select(quotes.c.id),
            quotes,
            firm_id=site.firm_id,
            sought=Sought(terms=terms_known),
            before=None,
            limit=1,
        )
        values = [
            value for name, value in statement.compile().params.items() if str(name).startswith("term_")
        ]
        assert values == ["musterdorf", "am", "7"]


def test_days_bound_it(site: Site, three: list[object]) -> None:
    # The ids are of today, the rows of the day of the tests: both have to lie within.
    made = quote(site.connection, site.firm_id)
    assert made in found(site, since=NOW - timedelta(days=3650))
    assert found(site, until=NOW - timedelta(days=3650)) == []


@pytest.mark.parametrize("known", [[TOWN], [TOWN, NAME]])
def test_a_page_is_read_from_the_index(site: Site, connection: Connection, known: list[Term]) -> None:
    if connection.dialect.name != "sqlite":
        pytest.skip("SQLite tells its plan without figures")
    statement = ids_newest_first(
        quotes, firm_id=site.firm_id, sought=Sought(terms=known), before=None, limit=5
    )
    written = str(statement.compile(connection, compile_kwargs={"literal_binds": True}))
    plan = [row.detail for row in connection.execute(text(f"EXPLAIN QUERY PLAN {written}"))]
    assert plan[0].startswith("SEARCH first USING COVERING INDEX ix_search_terms_firm_id_kind_term_owner_id")
    assert not [step for step in plan if "SCAN" in step or "TEMP B-TREE" in step]


def test_of_words_that_many_have_the_newest_rows_are_enough(
    site: Site, three: list[object], monkeypatch: pytest.MonkeyPatch
) -> None:
    def listed(limit: int, **known: object) -> list[object]:
        rows = finding.page(
            site.connection,
            select(quotes.c.id),
            quotes,
            firm_id=site.firm_id,
            sought=Sought(**known),  # type: ignore[arg-type]
            before=None,
            limit=limit,
        )
        return list(rows.scalars())

    elsewhere = quote(site.connection, site.firm_id)
    begins = [("place", "muster")]
    for few, near in ((1, 2), (1, 100), (100, 100)):
        monkeypatch.setattr(finding, "FEW", few)
        monkeypatch.setattr(finding, "NEAR", near)
        assert listed(1, begins=begins) == three[:1:-1]
        assert listed(3, begins=begins) == listed(9, begins=begins) == three[::-1]
        assert listed(9, begins=[*begins, ("client", "must")]) == [three[1]]
        assert elsewhere not in listed(9, begins=begins)
