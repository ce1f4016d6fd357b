"""The option that was accepted takes the place of what the quote says, and the quote's row stays."""

from decimal import Decimal

from sqlalchemy import Connection

from service.store import acceptances, quote_options, quotes
from tests.stored import DIGEST, NOW, Site, quote

B = {
    **{"option": "2", "text": "Other", "body": {"material": "M2"}, "basis": {"b": 2}, "summary": {}},
    **{"short": {"s": 2}, "total": 7},
}


def test_it_is_read_as_it_was_agreed(connection: Connection) -> None:
    site = Site(connection)
    named = {"firm_id": site.firm_id, "quote_id": quote(connection, site.firm_id, body={"material": "M1"})}
    quote_options.add(connection, named["quote_id"], [{**B, "total": Decimal(7)}])
    before = quotes.by_id(connection, **named)
    assert before is not None
    assert (before["body"]["material"], before["total"]) == ("M1", Decimal("12.50"))
    told = {
        "kind": "quote",
        "by": "office",
        "data": {},
        "salt": "5" * 32,
        "sha256": DIGEST,
        "said_at": NOW,
    }
    acceptances.add(connection, {**named, **told, "owner_id": named["quote_id"], "option": "2"})
    agreed, offered = quotes.by_id(connection, **named), quotes.as_offered(connection, **named)
    assert agreed is not None
    assert (agreed["body"]["material"], agreed["basis"], agreed["total"]) == ("M2", {"b": 2}, Decimal(7))
    assert offered == before
    totals = quote_options.totals(connection, named["quote_id"])
    assert [(row["option"], row["total"]) for row in totals] == [("1", Decimal("12.50")), ("2", Decimal(7))]
    assert quotes.cavities_of(connection, named["quote_id"]) == []
    assert [row["label"] for row in quotes.cavities_offered(connection, named["quote_id"], "1")] == ["W1"]
