"""Which entries are newer than a certificate, and of its parts."""

from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import pytest

from service.usecases.work.states import certified_parts, first_newer

THEN = datetime(2026, 11, 25, 8, tzinfo=UTC)
CERTIFICATE = {"ledger_position": 3, "outcome": {"parts": [{"cavity": "W1", "verdict": "conforming"}]}}


def row(position: int, corrects: int | None = None, **data: Any) -> dict[str, Any]:
    """An entry at its place in the ledger."""
    return {
        "id": UUID(int=position),
        "position": position,
        "corrects": UUID(int=corrects) if corrects else None,
        "received_at": THEN.replace(minute=position),
        "data": data,
    }


LEDGER = [row(1, cavity="W1"), row(2, cavity="A1"), row(3, masses_kg=[12.5])]


def added_to_at(*entries: dict[str, Any]) -> datetime | None:
    """When the certificate was added to by what stands in the ledger and these entries."""
    ledger = {each["id"]: each for each in (*LEDGER, *entries)}
    return first_newer(CERTIFICATE, ledger.values(), ledger.__getitem__)


@pytest.mark.parametrize(
    "entry",
    [
        row(4, cavity="W1"),
        row(4, cavities=["A1", "W1"]),
        row(4, corrects=1, reason="Twice.", replacement=None),
        row(4, corrects=2, reason="The wrong part.", replacement={"cavity": "W1"}),
        row(4, corrects=3, reason="The wrong scale.", replacement={"masses_kg": [11]}),
        row(4, code="flues", answer="stopped", cavity=None),
        row(4, points=[{"code": "dust", "answer": "clear"}, {"code": "flues", "answer": "stopped"}]),
    ],
    ids=[
        "of the part",
        "of several",
        "taken back",
        "moved to it",
        "what it rests on",
        "a stop of all",
        "a stop among others",
    ],
)
def test_it_is_added_to_by_entries_of_its_parts(entry: dict[str, Any]) -> None:
    assert added_to_at(entry) == entry["received_at"]


@pytest.mark.parametrize(
    "entry",
    [
        row(4, cavity="A1"),
        row(4, delivered_bags=3),
        row(4, corrects=2, replacement={"cavity": "A1"}),
        row(4, code="flues", answer="clear", cavity=None),
        row(4, code="flues", answer="stopped", cavity="A1"),
    ],
    ids=[
        "of another part",
        "of the whole job",
        "a correction of another part",
        "an answer for all",
        "a stop elsewhere",
    ],
)
def test_it_is_not_added_to_by_others(entry: dict[str, Any]) -> None:
    assert added_to_at(entry) is None


def test_what_it_rests_on_is_not_newer() -> None:
    assert added_to_at() is None
    assert certified_parts(CERTIFICATE) == {"W1"}
