"""Somebody of the demo firm's office, and of the other firm's, as a use case is told of them."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from uuid6 import uuid7

from service.settings import Settings
from service.usecases.base.context import Caller, Context
from service.usecases.firm import firms
from tests.api import NOW


@pytest.fixture
def office(settings: Settings, database: Engine) -> Callable[[str], Context]:
    """A function that gives the surroundings of a firm's office."""

    def of(code: str) -> Context:
        key_id = uuid7()
        caller = Caller(
            key_id=key_id,
            first_key_id=key_id,
            firm_id=firms.id_of(database, code),
            roles=frozenset({"office"}),
            label="Office",
        )
        return Context(database=database, settings=settings, caller=caller, now=NOW)

    return of


@pytest.fixture
def context(office: Callable[[str], Context]) -> Context:
    """The surroundings of the demo firm's office."""
    return office("demo")
