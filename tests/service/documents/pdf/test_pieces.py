"""Each piece of a paper is laid out elsewhere, and what becomes of one becomes of the paper."""

import os
import signal

import pytest

from service.documents.pdf import pieces, render
from service.errors import DocumentFailed, GivenUp
from tests.refusals import refused

HEAD = '<!DOCTYPE html><html lang="en"><head><title>t</title></head><body>'
ROWS = "".join(f"<div><p>{number}</p></div>" for number in range(30))


def made(more: str = "") -> bytes:
    return render.to_pdf(f"{HEAD}{ROWS}{more}</body></html>", enough=20)


def test_a_paper_is_made_in_other_processes(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []
    apart = pieces.made_apart
    monkeypatch.setattr(
        pieces, "made_apart", lambda *what, **limits: seen.append(1) or apart(*what, **limits)
    )
    assert made().startswith(b"%PDF-1.7")
    assert len(seen) == 4


def test_a_piece_that_fails_fails_the_paper() -> None:
    with pytest.raises(DocumentFailed, match="may not have"):
        made('<p><img alt="x" src="asset:missing.ttf"/></p>')


def test_a_piece_that_needs_too_much_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pieces, "PIECE_S", 0)
    with refused(GivenUp, "too large to be shown"):
        made()


def test_a_piece_that_dies_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pieces, "_appended", lambda *_: os.kill(os.getpid(), signal.SIGKILL))
    with refused(GivenUp, "too large to be shown"):
        made()
