"""A paper that is only shown is made elsewhere, and whatever becomes of that, who asked goes on."""

import mmap
import os
import signal
import tempfile
import time
from pathlib import Path

import pytest
from flask import Flask

from service.documents.papers import quote as paper
from service.documents.pdf.apart import MIB, made_apart
from service.errors import DocumentFailed, GivenUp
from tests.api import Api, problem
from tests.refusals import refused


def made(make: object, *, limit_s: int = 60, limit_mib: int = 4096) -> bytes:
    return made_apart(make, limit_s=limit_s, limit_mib=limit_mib)  # type: ignore[arg-type]


def test_it_is_made_in_another_process_and_comes_whole() -> None:
    assert int(made(lambda: str(os.getpid()).encode())) != os.getpid()
    large = os.urandom(MIB)
    assert made(lambda: large * 3) == large * 3


def test_what_it_leaves_behind_goes_with_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    left = made(lambda: tempfile.mkdtemp().encode()).decode()
    assert Path(left).parent.parent == tmp_path
    assert [*tmp_path.iterdir()] == []


def test_what_takes_too_long_is_ended() -> None:
    with refused(GivenUp, "too large to be shown"):
        made(lambda: time.sleep(60), limit_s=1)


def test_what_takes_too_much_is_ended() -> None:
    with refused(GivenUp, "too large to be shown"):
        made(lambda: bytes(2048 * MIB), limit_mib=1024)


def test_what_its_parent_had_is_not_counted() -> None:
    with mmap.mmap(-1, 4096 * MIB, flags=mmap.MAP_PRIVATE, prot=mmap.PROT_READ):
        assert made(lambda: bytes(64 * MIB), limit_mib=512) == bytes(64 * MIB)


def test_what_dies_and_says_nothing_is_given_up() -> None:
    with refused(GivenUp, "too large to be shown"):
        made(lambda: os.kill(os.getpid(), signal.SIGKILL))


def test_what_fails_says_why_and_no_more() -> None:
    def fails() -> bytes:
        raise DocumentFailed("a fact is missing")

    with pytest.raises(DocumentFailed, match="a fact is missing"):
        made(fails)
    with pytest.raises(DocumentFailed, match="ZeroDivisionError"):
        made(lambda: b"%d" % (1 // 0))


def test_a_draft_is_made_apart_and_its_server_goes_on(
    app: Flask, api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    quote = api.quote()
    path = f"/v1/quotes/{quote['id']}/document"
    monkeypatch.setattr(paper, "pdf", lambda _facts: os.kill(os.getpid(), signal.SIGKILL))
    assert "too large to be shown" in problem(api.send("GET", path), 503)["detail"]
    monkeypatch.undo()
    assert api.send("GET", path).data.startswith(b"%PDF-")
