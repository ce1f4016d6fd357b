"""A stored quote is posted again as it was."""

from uuid import UUID

from service.store import quotes
from service.usecases.work.posted import body_of
from tests.api import Api, operator_of, small_building


def test_it_has_what_was_posted(api: Api) -> None:
    posted = small_building(reference="SO-9", travel_km=7, priced_on="2026-11-25")
    made = api.quote(posted)
    with operator_of(api.app) as database, database.connect() as connection:
        (firm_id,) = {of for quote_id, of in quotes.every(connection) if UUID(quote_id) == UUID(made["id"])}
        quote = quotes.by_id(connection, firm_id=UUID(firm_id), quote_id=UUID(made["id"]))
        assert quote
        again = body_of(quote, quotes.cavities_of(connection, quote["id"]))
    for name in ("reference", "client", "site", "material", "practice", "currency", "travel_km"):
        assert again[name] == posted[name]  # type: ignore[literal-required]
    assert [each["label"] for each in again["cavities"]] == [each["label"] for each in posted["cavities"]]
