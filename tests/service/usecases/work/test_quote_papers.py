"""A quote's papers: an offer's is awaited until a worker made it, and an erased client's is made no more."""

import pytest
from sqlalchemy import Engine

from service.errors import Erased
from service.store import clients
from service.store.session import writing
from service.usecases.base.context import Context
from service.usecases.work import quote_papers
from service.usecases.work.rendering import Awaited
from tests.api import PUBLIC, Api, problem
from tests.service.documents.reading import text_of
from tests.stored import NOW, TODAY, Site, quote


def test_an_offers_document_is_awaited(context: Context, own: Site, database: Engine) -> None:
    with writing(database) as connection:
        offered = {"number": "Q-2026-7001", "state": "offered", "offered_at": NOW, "valid_until": TODAY}
        quote_id = quote(connection, own.firm_id, **offered)
    assert isinstance(quote_papers.file(context, quote_id), Awaited)


def test_once_the_client_was_erased_none_is_made(context: Context, own: Site, database: Engine) -> None:
    with writing(database) as connection:
        quote_id = quote(connection, own.firm_id)
        clients.erase(connection, quote_id, reason="A trial", key_id=own.key_id, now=NOW)
    with pytest.raises(Erased):
        quote_papers.pdf(context, quote_id)


TERMS = {"en": "Payment within 14 days.\nThe place of jurisdiction is ours.", "de": "Zahlbar in 14 Tagen."}


def test_the_firms_terms_of_the_day_are_on_paper_and_page(api: Api) -> None:
    before = api.quote()
    change = {"in_force_from": "2026-11-02", "code": "EUR-TERMS", "terms": TERMS}
    answer = api.send("PATCH", "/v1/price-lists/EUR", change)
    assert answer.status_code == 201, answer.text
    path = f"/v1/quotes/{api.quote()['id']}"
    api.send("POST", f"{path}/offer", role="sales")
    assert "Payment within 14 days. The place" in text_of(api.send("GET", f"{path}/document").data)
    link = api.send("POST", f"{path}/links", {"days": 3}).json["url"].removeprefix(PUBLIC)
    assert TERMS["en"] in api.client.get(link).text
    # An offer has those of its own day, and a draft of before has none.
    old = api.send("GET", f"/v1/quotes/{before['id']}/document").data
    assert "14 days" not in text_of(old)
    problem(
        api.send("PATCH", "/v1/price-lists/EUR", {"in_force_from": "2026-11-03", "terms": {"fr": "x"}}), 422
    )
