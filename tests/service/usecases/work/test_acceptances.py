"""An offer is accepted while it holds, by whoever holds its link, for the document that he was shown."""

from dataclasses import replace
from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from sqlalchemy import Engine

from service.errors import Conflict, NotKnown
from service.store import files, jobs
from service.store.contents import inside
from service.store.session import reading, writing
from service.usecases.base.context import Context
from service.usecases.work import links
from service.usecases.work.acceptances import Shown, by_client
from tests.stored import NOW, TODAY, Site, quote


@pytest.fixture
def offer(own: Site, database: Engine) -> UUID:
    """An offer of the firm's, without its document."""
    with writing(database) as connection:
        told = {"basis": {"practice": {"market": "eu"}}, "body": {"language": "de"}}
        state = {"state": "offered", "offered_at": NOW, "valid_until": TODAY, **told}
        return quote(connection, own.firm_id, number=f"Q-{uuid4().hex[:6]}", **state)


def opens(context: Context, offer: UUID) -> tuple[Context, str]:
    """Anybody, and what lets him in."""
    url: str = links.create(context, "quote", offer, 3)["url"]
    return replace(context, caller=None), url.rpartition("/")[2]


def printed(database: Engine, offer: UUID) -> Shown:
    """What a client says who was shown the offer's document."""
    with writing(database) as connection:
        files.attach(connection, kind="quote", owner_id=offer, placed=inside(b"%PDF"), now=NOW)
        digest = files.digest_of(connection, kind="quote", owner_id=offer)
    return Shown(name="Ada Client", document_sha256=digest or "")


def test_without_its_document_it_is_not_accepted(context: Context, offer: UUID, database: Engine) -> None:
    with pytest.raises(Conflict, match="document_awaited"):
        by_client(*opens(context, offer), Shown(name="Ada", document_sha256="0" * 64))
    printed(database, offer)
    with pytest.raises(Conflict, match="other_document"):
        by_client(*opens(context, offer), Shown(name="Ada", document_sha256="0" * 64))


def test_it_becomes_one_job(context: Context, offer: UUID, database: Engine) -> None:
    shown = printed(database, offer)
    first, second = (by_client(*opens(context, offer), shown) for _ in range(2))
    assert first == second
    with reading(database) as connection:
        job = jobs.of_quote(connection, offer)
    assert job is not None
    assert job["state"] == "open"


def test_after_its_last_day_it_is_not_accepted(context: Context, offer: UUID, database: Engine) -> None:
    shown = printed(database, offer)
    anybody, token = opens(context, offer)
    with pytest.raises(Conflict, match="not_to_be_accepted"):
        by_client(replace(anybody, now=NOW + timedelta(days=1)), token, shown)


def test_a_link_that_was_revoked_accepts_nothing(context: Context, offer: UUID, database: Engine) -> None:
    shown = printed(database, offer)
    anybody, token = opens(context, offer)
    (listed,) = links.listed(context, "quote", offer)["items"]
    links.revoke(context, UUID(listed["id"]))
    with pytest.raises(NotKnown):
        by_client(anybody, token, shown)
