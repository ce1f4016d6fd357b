"""The client of the object store, held against a real server that checks signatures."""

import importlib.util
import multiprocessing
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from service.engine.ground.messages import message
from service.errors import ContentUnavailable, SettingsWrong
from service.settings import Settings
from service.store import objects
from service.store.objects import Objects, opened, prepare
from tests.objects import ObjectStore

SETTINGS = Settings(secret_key="a secret for the tests only")


@pytest.fixture
def kept(store: ObjectStore) -> Objects:
    return store.opened()


def test_what_was_put_is_got_listed_and_deleted(kept: Objects, store: ObjectStore) -> None:
    for key in ("a/1/x", "a/1/y", "a/2/x"):
        kept.put(key, key.encode() * 1000)
    assert kept.get("a/1/y") == b"a/1/y" * 1000 == store.file("a/1/y").read_bytes()
    assert sorted(kept.under("a/1/")) == ["a/1/x", "a/1/y"]
    for _ in range(2):
        kept.delete("a/1/x")
    assert list(kept.under("a/1/")) == ["a/1/y"]
    now = datetime.now(UTC)
    assert list(kept.under("a/2/", before=now - timedelta(days=1))) == []
    assert list(kept.under("a/2/", before=now + timedelta(days=1))) == ["a/2/x"]


def test_several_services_share_a_bucket_by_prefixes(store: ObjectStore) -> None:
    ours, theirs = (
        opened(replace(store.settings(SETTINGS), objects_url=f"{store.url}/{prefix}"))
        for prefix in ("ours", "theirs/of/them")
    )
    assert ours
    assert theirs
    ours.put("f/x", b"ours")
    theirs.put("f/x", b"theirs")
    assert (ours.get("f/x"), theirs.get("f/x")) == (b"ours", b"theirs")
    assert list(ours.under("f/")) == ["f/x"]
    assert store.file("theirs/of/them/f/x").read_bytes() == b"theirs"


def test_what_is_not_there_is_named(kept: Objects) -> None:
    with pytest.raises(ContentUnavailable) as raised:
        kept.get("a/none")
    assert raised.value.is_lost
    assert raised.value.detail == message("store.object_missing", key="a/none")


@pytest.mark.parametrize("wrong", [{"objects_secret": "another"}, {"objects_key_id": "somebody"}], ids=str)
def test_nothing_is_given_or_taken_without_the_right_signature(store: ObjectStore, wrong: Any) -> None:
    store.opened().put("a/signed", b"kept")
    stranger = opened(replace(store.settings(SETTINGS), **wrong))
    assert stranger
    for attempt in (
        lambda: stranger.get("a/signed"),
        lambda: stranger.put("a/signed", b"changed"),
        lambda: stranger.delete("a/signed"),
        lambda: list(stranger.under("a/")),
    ):
        with pytest.raises(ContentUnavailable) as raised:
            attempt()
        assert not raised.value.is_lost
    assert stranger.fault() is not None
    assert store.file("a/signed").read_bytes() == b"kept"


def test_a_store_that_is_away_is_said_to_be_and_answers_again(tmp_path: Path) -> None:
    store = ObjectStore(tmp_path)
    kept = store.opened()
    store.start()
    kept.put("a/x", b"x")
    store.stop()
    fault = kept.fault()
    assert fault
    assert fault.code == "store.objects_away"
    for attempt in (lambda: kept.get("a/x"), lambda: kept.put("a/y", b"y"), lambda: kept.delete("a/x")):
        with pytest.raises(ContentUnavailable) as raised:
            attempt()
        assert not raised.value.is_lost
        assert raised.value.lasting
    store.start()
    assert kept.fault() is None
    assert kept.get("a/x") == b"x"
    store.stop()


def test_a_client_that_was_made_before_a_fork_serves_each_process_by_its_own_connections(
    kept: Objects,
) -> None:
    kept.put("a/forked", b"x" * 100_000)
    prepare(kept)
    made = objects._client(kept.bucket)
    child = multiprocessing.get_context("fork").Process(target=_read_on, args=(kept, made))
    child.start()
    for _ in range(20):
        assert kept.get("a/forked") == b"x" * 100_000
    child.join()
    assert child.exitcode == 0
    assert objects._client(kept.bucket) is made


def _read_on(kept: Objects, inherited: Any) -> None:
    for _ in range(20):
        assert kept.get("a/forked") == b"x" * 100_000
    assert objects._client(kept.bucket) is not inherited


def test_settings_without_a_bucket_have_no_store_and_a_missing_client_is_named(
    monkeypatch: pytest.MonkeyPatch, store: ObjectStore
) -> None:
    assert opened(SETTINGS) is None
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    with pytest.raises(SettingsWrong, match="botocore"):
        opened(store.settings(SETTINGS))


def test_a_secret_is_not_shown(store: ObjectStore) -> None:
    settings = store.settings(SETTINGS)
    found = opened(settings)
    assert found
    assert settings.objects_secret not in f"{settings!r} {found.bucket!r}"


def test_a_store_that_takes_and_never_answers_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever asks waits twice the limit of a reading, not for ever: here a tenth of a second."""
    import socket

    monkeypatch.setattr(objects, "READ_S", 0.1)
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        url = f"http://127.0.0.1:{silent.getsockname()[1]}/kept"
        kept = opened(replace(SETTINGS, objects_url=url, objects_key_id="x", objects_secret="y"))
        assert kept
        began = time.monotonic()
        with pytest.raises(ContentUnavailable):
            kept.get("a/x")
        assert time.monotonic() - began < 60
