"""A firm of its own with a job, and its office's surroundings."""

import pytest
from sqlalchemy import Engine

from service.settings import Settings
from service.store.session import writing
from service.usecases.base.context import Caller, Context
from tests.api import NOW
from tests.stored import Site


@pytest.fixture
def own(database: Engine) -> Site:
    """A firm with a key and a job, stored; its connection is closed."""
    with writing(database) as connection:
        return Site(connection)


@pytest.fixture
def context(settings: Settings, database: Engine, own: Site) -> Context:
    """The surroundings of the firm's office."""
    caller = Caller(
        key_id=own.key_id,
        first_key_id=own.key_id,
        firm_id=own.firm_id,
        roles=frozenset({"office"}),
        label="Office",
    )
    return Context(database=database, settings=settings, caller=caller, now=NOW)
