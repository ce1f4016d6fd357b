"""Quotes, cavities and clients: rows hold what their tables have, and what cannot be is refused."""

from typing import Any, get_type_hints

import pytest
from sqlalchemy import Table
from sqlalchemy.exc import DBAPIError, IntegrityError

from schemas import quotes as quote_schemas
from service.store.layout import quotes
from tests.columns import assert_part_of, assert_row_of, name_of, words_of
from tests.stored import Site


@pytest.mark.parametrize(
    ("kind", "table"),
    [
        (quotes.QuoteCavity, quotes.quote_cavities),
        (quotes.Client, quotes.clients),
    ],
    ids=name_of,
)
def test_a_row_has_the_columns_of_its_table(kind: type, table: Table) -> None:
    assert_row_of(kind, table)


def test_a_head_has_columns_of_its_table() -> None:
    assert_part_of(quotes.QuoteName, quotes.quotes)


def test_a_quote_comes_with_its_client() -> None:
    client = {"client", "client_sha256", "client_erased_at"}
    assert get_type_hints(quotes.Quote).keys() == set(quotes.quotes.c.keys()) | client
    assert get_type_hints(quotes.QuoteHead).keys() == get_type_hints(quotes.Quote).keys() - {
        "basis",
        "summary",
        "short",
        "short_singly",
    }


@pytest.mark.parametrize("values", [{"data": None}, {"salt": None}, {"sha256": "short"}], ids=str)
def test_a_client_is_whole_or_erased(site: Site, values: dict[str, Any]) -> None:
    # PostgreSQL asks the trigger first, which lets a client's row be erased and nothing else.
    with pytest.raises(DBAPIError, match=r"constraint|never changed"), site.connection.begin_nested():
        site.connection.execute(quotes.clients.update().values(**values))


def test_a_quote_is_in_no_other_state(site: Site) -> None:
    with pytest.raises(IntegrityError), site.connection.begin_nested():
        site.connection.execute(quotes.quotes.update().values(state="lost"))


def test_states_are_those_that_are_answered() -> None:
    """But for an offer's lapsing, which is a matter of the day and stored nowhere."""
    assert words_of(quotes.quotes.c.state) == set(quote_schemas.STATES) - {"lapsed"}
