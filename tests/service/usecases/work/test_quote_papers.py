"""A quote's papers: an offer's is awaited until a worker made it, and an erased client's is made no more."""

import pytest
from sqlalchemy import Engine

from service.errors import Erased
from service.store import clients
from service.store.session import writing
from service.usecases.base.context import Context
from service.usecases.work import quote_papers
from service.usecases.work.rendering import Awaited
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
