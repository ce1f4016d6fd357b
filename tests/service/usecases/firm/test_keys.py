"""Keys: what is kept of them, when they end, and that noting their use delays nobody."""

import time
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import Engine, select

from service.errors import NotIdentified, NotKnown
from service.settings import Settings
from service.store.session import reading, writing
from service.store.sqlite import BUSY_MS
from service.store.tables import keys as table
from service.usecases.firm import keys
from tests.refusals import refused

NOW = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)


@pytest.fixture
def key(settings: Settings, database: Engine) -> str:
    """A key of the demo firm."""
    return keys.add(database, firm_code="demo", roles=["sales"], label="trial", now=NOW)


def prefix_of(key: str) -> str:
    return key.split("_")[1]


def row_of(database: Engine, key: str) -> Mapping[str, Any]:
    with reading(database) as connection:
        found = connection.execute(select(table).where(table.c.prefix == prefix_of(key)))
        return found.mappings().one()


def test_a_key_is_recognised_and_nothing_is_kept_that_would_open(key: str, database: Engine) -> None:
    caller = keys.identify(database, key, NOW)
    assert caller.roles == {"sales"}
    assert key.split("_", 2)[2] not in str(dict(row_of(database, key)))
    assert "digest" not in keys.every(database)[-1]


@pytest.mark.parametrize("change", [lambda k: k[:-1], lambda k: k + "x", lambda k: k.upper(), str.swapcase])
def test_a_key_that_is_almost_right_is_wrong(key: str, database: Engine, change: Any) -> None:
    with pytest.raises(NotIdentified):
        keys.identify(database, change(key), NOW)


@pytest.mark.parametrize(
    "sent", ["", "bw_", "bw__", "\x00", "bw_0123456\x00_" + "x" * 43, "bw_01234567_" + "é" * 43, "x" * 10_000]
)
def test_what_is_no_key_is_refused_before_the_database_is_asked(sent: str, database: Engine) -> None:
    with refused(NotIdentified, "not a key"):
        keys.identify(database, sent, NOW)


def test_the_right_secret_behind_another_keys_prefix_opens_nothing(key: str, database: Engine) -> None:
    other = keys.add(database, firm_code="other", roles=["office"], label="trial", now=NOW)
    mixed = f"bw_{prefix_of(other)}_{key.split('_', 2)[2]}"
    with pytest.raises(NotIdentified):
        keys.identify(database, mixed, NOW)


def test_use_is_noted_once_a_minute(key: str, database: Engine) -> None:
    noted = []
    for seconds in (0, 59, 60, 61, 200):
        keys.identify(database, key, NOW + timedelta(seconds=seconds))
        noted.append((row_of(database, key)["last_used_at"] - NOW).total_seconds())
    assert noted == [0, 0, 60, 60, 200]


def test_noting_the_use_waits_for_no_other_writer(key: str, database: Engine) -> None:
    with writing(database):
        began = time.monotonic()
        assert keys.identify(database, key, NOW).label == "trial"
        assert time.monotonic() - began < BUSY_MS / 2000


def test_a_revoked_key_ends_at_once_and_cannot_be_revoked_again(key: str, database: Engine) -> None:
    keys.revoke(database, prefix=prefix_of(key), now=NOW)
    with pytest.raises(NotIdentified):
        keys.identify(database, key, NOW)
    with pytest.raises(NotKnown):
        keys.revoke(database, prefix=prefix_of(key), now=NOW)


def test_a_rotated_key_hands_over_at_once(key: str, database: Engine) -> None:
    new = keys.rotate(database, prefix=prefix_of(key), grace=timedelta(0), now=NOW)
    with pytest.raises(NotIdentified):
        keys.identify(database, key, NOW)
    caller = keys.identify(database, new, NOW)
    assert (caller.roles, caller.label) == ({"sales"}, "trial")
    assert caller.firm_id == row_of(database, key)["firm_id"]


def test_a_rotated_key_may_have_a_grace_which_ends(key: str, database: Engine) -> None:
    keys.rotate(database, prefix=prefix_of(key), grace=timedelta(hours=1), now=NOW)
    assert keys.identify(database, key, NOW + timedelta(minutes=59)).label == "trial"
    with pytest.raises(NotIdentified):
        keys.identify(database, key, NOW + timedelta(minutes=60))


def test_a_key_in_its_grace_can_still_be_revoked(key: str, database: Engine) -> None:
    keys.rotate(database, prefix=prefix_of(key), grace=timedelta(hours=1), now=NOW)
    keys.revoke(database, prefix=prefix_of(key), now=NOW)
    with pytest.raises(NotIdentified):
        keys.identify(database, key, NOW)


def test_a_key_that_ended_cannot_be_rotated(key: str, database: Engine) -> None:
    keys.revoke(database, prefix=prefix_of(key), now=NOW)
    with pytest.raises(NotKnown):
        keys.rotate(database, prefix=prefix_of(key), grace=timedelta(0), now=NOW)
