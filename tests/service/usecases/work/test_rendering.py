"""A file is made once, outside any transaction, and never after its client was erased."""

import logging
from typing import Any
from uuid import UUID

import pytest
from sqlalchemy import Engine

from service.errors import Erased
from service.store import clients, seals
from service.store.session import reading, writing
from service.usecases.base.context import Context
from service.usecases.work.rendering import ahead, made_once
from tests import stored
from tests.api import NOW


@pytest.fixture
def quote_id(context: Context, database: Engine) -> UUID:
    """A quote of the firm's."""
    with writing(database) as connection:
        return stored.quote(connection, context.firm_id)


def made(context: Context, quote_id: UUID, make: Any) -> bytes:
    return bytes(made_once(context, "quote", quote_id, make, client_of=quote_id)["content"])


def test_a_file_is_made_once_sealed_and_stays(context: Context, database: Engine, quote_id: UUID) -> None:
    times: list[bytes] = []

    def make() -> bytes:
        times.append(f"file {len(times)}".encode())
        return times[-1]

    assert [made(context, quote_id, make) for _ in range(3)] == [b"file 0"] * 3
    assert len(times) == 1
    with reading(database) as connection:
        assert [row["kind"] for row in seals.of_quote(connection, quote_id)] == ["quote_file"]


def test_whoever_attaches_first_is_right(context: Context, quote_id: UUID) -> None:
    """Another makes the same file while this one is being made."""

    def make() -> bytes:
        made(context, quote_id, lambda: b"faster")
        return b"slower"

    assert made(context, quote_id, make) == b"faster"


def test_an_erasure_that_was_faster_is_kept_to(context: Context, database: Engine, quote_id: UUID) -> None:
    def make() -> bytes:
        with writing(database) as connection:
            key_id = stored.key(connection, context.firm_id)
            clients.erase(connection, quote_id, reason="Asked for", key_id=key_id, now=NOW)
        return b"too late"

    for _ in range(2):
        with pytest.raises(Erased):
            made(context, quote_id, make)


def test_a_failure_ahead_of_time_is_for_the_log_alone(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.ERROR, logger="baywright"):
        ahead(lambda: 1 / 0)
    assert any("made when it is asked for" in record.getMessage() for record in caplog.records)
