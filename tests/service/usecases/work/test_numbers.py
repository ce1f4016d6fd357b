"""Numbers of a firm's own things lead to their ids."""

from uuid import uuid4

import pytest
from sqlalchemy import Engine

from service.errors import NotKnown
from service.store.session import writing
from service.usecases.base.context import Context
from service.usecases.work.numbers import id_of, revision_of
from tests.stored import Site, quote


def test_it_is_the_latest_revision_or_the_one_named(context: Context, own: Site, database: Engine) -> None:
    number = f"Q-2026-{uuid4().int % 10000:04d}"
    with writing(database) as connection:
        first, second = (
            quote(connection, own.firm_id, number=number, revision=each, state="offered") for each in (1, 2)
        )
    assert id_of(context, "quote", number) == second
    assert id_of(context, "quote", number, 1) == first
    assert revision_of(context, second, 1) == first
    for unknown in (lambda: id_of(context, "quote", number, 3), lambda: revision_of(context, uuid4(), 1)):
        with pytest.raises(NotKnown):
            unknown()


@pytest.mark.parametrize("kind", ["quote", "job", "certificate"])
def test_a_number_that_there_is_not(context: Context, kind: str) -> None:
    with pytest.raises(NotKnown):
        id_of(context, kind, "X-2026-0001")
