"""Issuing names who signs and for which parts; a certificate is shown without what is not for everybody."""

from typing import Any, get_type_hints

import pytest

from schemas.certificates import MOST_PARTS, Certificate, IssueBody, Preview, PreviewQuery, WithdrawalBody
from service.store.row_types import StandingHead
from tests.pointers import refused

SIGNED = {"signed_by": "A signatory"}


@pytest.mark.parametrize(
    "body", [SIGNED, {**SIGNED, "cavities": ["W1"]}, {**SIGNED, "cavities": ["W1", "ä"]}]
)
def test_parts_may_be_named_or_left_out(body: dict[str, Any]) -> None:
    assert IssueBody().load(body) == body


@pytest.mark.parametrize(
    ("body", "wrong"),
    [
        ({}, "/signed_by"),
        ({"signed_by": " "}, "/signed_by"),
        ({"signed_by": None}, "/signed_by"),
        # No part at all is not every part: who means all names none.
        ({**SIGNED, "cavities": []}, "/cavities"),
        ({**SIGNED, "cavities": None}, "/cavities"),
        ({**SIGNED, "cavities": "W1"}, "/cavities"),
        ({**SIGNED, "cavities": ["W1", 2]}, "/cavities/1"),
        ({**SIGNED, "cavities": ["W1"] * (MOST_PARTS + 1)}, "/cavities"),
        ({**SIGNED, "issued_at": "2026-11-25T08:00:00Z"}, "/issued_at"),
    ],
    ids=lambda value: str(value)[:60],
)
def test_what_cannot_be_issued_is_refused_by_its_field(body: dict[str, Any], wrong: str) -> None:
    assert refused(IssueBody(), body) == {wrong}


def test_a_preview_is_asked_by_the_same_labels() -> None:
    assert PreviewQuery().load({}) == {}
    assert refused(PreviewQuery(), {"cavities": ["W" * 81]}) == {"/cavities/0"}
    assert refused(PreviewQuery(), {"cavities": []}) == {"/cavities"}


@pytest.mark.parametrize("reason", ["", " \n ", "x" * 1001, None, "a\x07"])
def test_a_withdrawal_has_its_reason(reason: object) -> None:
    assert refused(WithdrawalBody(), {"reason": reason}) == {"/reason"}
    assert refused(WithdrawalBody(), {"reason": "The wrong house.\nSee J-2."}) == set()


def test_a_certificate_is_shown_without_its_keys_and_its_place_in_the_chain() -> None:
    known = get_type_hints(StandingHead).keys()
    kept_back = {"firm_id", "key_id", "year", "serial", "ledger_position", "previous_sha256", "firm"}
    assert kept_back <= known
    assert not Certificate().fields.keys() & kept_back
    assert Certificate().fields.keys() - known == {"state", "added_to_at"}


def test_a_preview_shows_the_whole_record_and_what_to_send_with_it() -> None:
    shown = {"tag": "abc", "ready": False, "record": {"mass_kg": 1.23456789}, "supersedes": ["C-1"]}
    assert Preview().dump(shown) == shown
