"""What may be done with a quote depends on its state, its version, and the day."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy import Engine

from service.errors import Conflict, NotKnown, Stale
from service.store.session import reading, writing
from service.usecases.base.context import Context
from service.usecases.work.quote_states import found, must_be, must_be_seen, must_be_surveyed, state_on
from tests.stored import TODAY, Site, quote


def stored(context: Context, own: Site, database: Engine, **columns: Any) -> Any:
    """A quote of the firm's, as it is found."""
    with writing(database) as connection:
        quote_id = quote(connection, own.firm_id, **columns)
        return found(connection, context, quote_id)


def test_an_offer_lapses_by_itself(context: Context, own: Site, database: Engine) -> None:
    offer = stored(context, own, database, state="offered", valid_until=TODAY)
    assert state_on(offer, TODAY) == "offered"
    assert state_on(offer, TODAY + timedelta(days=1)) == "lapsed"
    must_be(offer, context, "offered", "accepted")
    with pytest.raises(Conflict, match="not_to_be_changed"):
        must_be(offer, context, ("draft",), "changed")


def test_another_version_than_was_seen_is_refused(context: Context, own: Site, database: Engine) -> None:
    draft = stored(context, own, database)
    must_be_seen(draft, None)
    must_be_seen(draft, [7, draft["version"]])
    with pytest.raises(Stale):
        must_be_seen(draft, [7])


def test_what_is_only_estimated_is_not_offered() -> None:
    cavities: Any = [{"label": "W1", "surveyed": {}}, {"label": "W2", "surveyed": {"surveyed": "estimated"}}]
    must_be_surveyed(cavities[:1])
    with pytest.raises(Conflict, match="estimated"):
        must_be_surveyed(cavities)


def test_what_there_is_not_is_not_known(context: Context, database: Engine) -> None:
    with reading(database) as connection, pytest.raises(NotKnown):
        found(connection, context, uuid4())
