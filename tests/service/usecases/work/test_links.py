"""A link opens one thing until it ends; altered, revoked or expired ones are all alike."""

from dataclasses import replace
from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from sqlalchemy import Engine

from service.errors import Conflict, NotKnown
from service.store.session import writing
from service.usecases.base.context import Context
from service.usecases.work import links
from tests.stored import NOW, TODAY, Site, quote


@pytest.fixture
def offer(own: Site, database: Engine) -> UUID:
    """An offer of the firm's."""
    with writing(database) as connection:
        told = {"basis": {"practice": {"market": "eu"}, "price_list": {}}, "body": {"language": "de"}}
        state = {"state": "offered", "offered_at": NOW, "valid_until": TODAY, **told}
        return quote(connection, own.firm_id, number=f"Q-{uuid4().hex[:6]}", **state)


def token(context: Context, offer: UUID, days: int = 1) -> str:
    url: str = links.create(context, "quote", offer, days)["url"]
    assert "/clients/" in url
    return url.rpartition("/")[2]


def test_an_offer_is_opened_without_a_key_until_the_link_ends(context: Context, offer: UUID) -> None:
    opens = token(context, offer)
    anybody = replace(context, caller=None)
    shown = links.opened(anybody, opens)
    assert (shown["state"], shown["total"], shown["firm"]["name"]) == ("offered", "12.50", "A firm")
    assert (shown["market"], shown["language"]) == ("eu", "de")
    with pytest.raises(NotKnown):
        links.opened(replace(anybody, now=NOW + timedelta(days=1)), opens)


def test_what_was_altered_opens_nothing(context: Context, offer: UUID) -> None:
    opens = token(context, offer)
    for altered in (opens[:-1], opens + "A", "x", ""):
        with pytest.raises(NotKnown):
            links.opened(replace(context, caller=None), altered)


def test_a_revoked_link_opens_nothing_and_is_revoked_once(context: Context, offer: UUID) -> None:
    opens = token(context, offer)
    (listed,) = links.listed(context, "quote", offer)["items"]
    assert "url" not in listed
    links.revoke(context, UUID(listed["id"]))
    assert links.listed(context, "quote", offer)["items"] == []
    with pytest.raises(NotKnown):
        links.opened(replace(context, caller=None), opens)
    with pytest.raises(NotKnown):
        links.revoke(context, UUID(listed["id"]))


def test_a_draft_and_what_is_not_there_have_no_link(context: Context, own: Site, database: Engine) -> None:
    with writing(database) as connection:
        draft = quote(connection, own.firm_id)
    with pytest.raises(Conflict):
        links.create(context, "quote", draft, 1)
    for kind in ("quote", "certificate"):
        with pytest.raises(NotKnown):
            links.create(context, kind, uuid4(), 1)
