"""The client's page says what the link opens, whether it stands, and where the file is."""

import base64
import hashlib
from typing import Any

import pytest

from service.documents.web.client_page import POLICY, STYLE, closed, html

OFFER: dict[str, Any] = {
    "kind": "quote",
    "title": "Offer",
    "number": "Q-2026-0001",
    "firm_name": "A firm <& sons>",
    "state": "offered",
    "total": "1234.50",
    "currency": "EUR",
    "valid_until": "2026-12-25",
    "expires_at": "2026-12-31T08:00:00Z",
    "file_erased_at": None,
}
CERTIFICATE: dict[str, Any] = {
    **OFFER,
    "kind": "certificate",
    "title": "Certificate",
    "number": "C-1",
    "state": "in_force",
    "issued_at": "2026-11-25T08:00:00Z",
    "added_to_at": None,
    "outcome": {"parts": [{"cavity": "W1", "verdict": "conforming"}], "not_part": [], "concessions": []},
}


def test_an_offer_says_its_total_and_until_when() -> None:
    text = html(OFFER, "a-token")
    assert "1234.50 EUR with tax" in text
    assert "25\N{NO-BREAK SPACE}December 2026" in text
    assert 'href="/clients/a-token/document"' in text
    assert "A firm &lt;&amp; sons&gt;" in text


@pytest.mark.parametrize(
    ("state", "word", "said"),
    [
        ("accepted", "Accepted", "1234.50 EUR with tax."),
        ("lapsed", "Lapsed", "It was valid until"),
        ("withdrawn", "Withdrawn", "Ask for a new one."),
    ],
)
def test_each_state_of_an_offer_has_its_words(state: str, word: str, said: str) -> None:
    text = html({**OFFER, "state": state}, "t")
    assert word in text
    assert said in text


def test_a_certificate_in_force_leads_on_to_the_page_of_its_number() -> None:
    text = html(CERTIFICATE, "t")
    assert "In force" in text
    assert 'href="/verify/C-1"' in text
    assert "Does not conform" not in text


def test_one_that_is_flawed_has_no_good_mark() -> None:
    bad = {"cavity": "W2", "verdict": "non_conforming"}
    outcome = {**CERTIFICATE["outcome"], "parts": [bad]}
    text = html({**CERTIFICATE, "outcome": outcome}, "t")
    assert "Does not conform: W2." in text
    assert 'class="standing noted"' in text
    assert 'class="standing in_force"' in html(CERTIFICATE, "t")


def test_one_that_was_replaced_names_the_new_one() -> None:
    gone = {"state": "superseded", "superseded_by": "C-2", "superseded_at": "2026-11-26T08:00:00Z"}
    assert 'href="/verify/C-2"' in html({**CERTIFICATE, **gone}, "t")


def test_an_erased_file_is_not_offered() -> None:
    text = html({**OFFER, "file_erased_at": "2026-11-27T08:00:00Z"}, "t")
    assert "/document" not in text
    assert "erased here on 27\N{NO-BREAK SPACE}November 2026" in text


def test_a_link_that_opens_nothing_says_why_it_may() -> None:
    assert "This link opens nothing" in closed(erased=False)
    assert "The document was erased" in closed(erased=True)


def test_the_policy_is_of_the_style_that_is_on_the_page() -> None:
    assert STYLE in html(OFFER, "t")
    digest = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
    assert f"'sha256-{digest}'" in POLICY
