"""The client's page says what the link opens, whether it stands, and where the file is."""

import base64
import hashlib
import re
from typing import Any

import pytest

from service.documents.web.client_page import POLICY, STYLE, closed, html
from tests.service.documents import facts

OFFER: dict[str, Any] = {
    "kind": "quote",
    "number": "Q-2026-0001",
    "firm": {"name": "A firm <& sons>", "phone": "+43 (0)1 234", "email": "office@firm.example"},
    "market": "eu",
    "language": "en",
    "state": "offered",
    "total": "1234.50",
    "currency": "EUR",
    "valid_until": "2026-12-25",
    "expires_at": "2026-12-31T08:00:00Z",
    "file_erased_at": None,
    "document_sha256": "0" * 64,
    "acceptance": None,
    "options": [],
    "terms": None,
}
CERTIFICATE: dict[str, Any] = {
    **OFFER,
    "kind": "certificate",
    "number": "C-1",
    "state": "in_force",
    "issued_at": "2026-11-25T08:00:00Z",
    "added_to_at": None,
    "outcome": {"parts": [{"cavity": "W1", "verdict": "conforming"}], "not_part": [], "concessions": []},
}


DAY = "2026-11-26T08:00:00Z"
FAILED = {**CERTIFICATE["outcome"], "parts": [{"cavity": "W2", "verdict": "non_conforming"}]}


def test_an_offer_says_its_total_and_until_when() -> None:
    text = html(OFFER, "a-token")
    assert "1\N{NARROW NO-BREAK SPACE}234.50 EUR with tax" in text
    assert "25 December 2026" in text
    assert 'href="/clients/a-token/document"' in text
    assert "A firm &lt;&amp; sons&gt;" in text


CHOICE: list[dict[str, Any]] = [
    {"option": "1", "text": None, "more": "0.00", "price": {"total": "1234.50"}, "accepted": False},
    {"option": "2", "text": "Finer <b>", "more": "-34.50", "price": {"total": "1200.00"}, "accepted": True},
]


def test_who_has_a_choice_has_to_make_it_and_sees_each_price() -> None:
    text = html({**OFFER, "options": CHOICE, "terms": "Ours <i>"}, "t")
    assert "Choose one of its options" in text
    assert text.count('type="radio"') == text.count('name="option" value=') == 2
    assert "checked" not in text
    for said in ("Finer &lt;b&gt;", "1\N{NARROW NO-BREAK SPACE}200.00 EUR", "−34.50", "Ours &lt;i&gt;"):
        assert said in text
    accepted = html({**OFFER, "options": CHOICE, "state": "accepted", "total": "1200.00"}, "t")
    assert "Option 2, Finer &lt;b&gt;: 1\N{NARROW NO-BREAK SPACE}200.00 EUR with tax." in accepted


@pytest.mark.parametrize(
    ("state", "word", "said"),
    [
        ("accepted", "Accepted", "1\N{NARROW NO-BREAK SPACE}234.50 EUR with tax."),
        ("lapsed", "Lapsed", "It was valid until"),
        ("withdrawn", "Withdrawn", "Ask us for a new one."),
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
    text = html({**CERTIFICATE, "outcome": FAILED}, "t")
    assert "Does not conform: W2." in text
    assert 'class="standing noted"' in text
    assert 'class="standing in_force"' in html(CERTIFICATE, "t")


def first_line(text: str) -> str:
    """What is read first of a page's main part."""
    main = re.sub(r"<[^>]*>", "\n", text.partition("<main>")[2])
    return next(line.strip() for line in main.splitlines() if line.strip())


@pytest.mark.parametrize(("state", "said"), [("superseded", "Replaced"), ("withdrawn", "Withdrawn")])
def test_one_that_no_longer_stands_says_so_in_its_first_line(state: str, said: str) -> None:
    gone = {"superseded_by": "C-2", "superseded_at": DAY, "withdrawn_at": DAY}
    assert first_line(html({**CERTIFICATE, **gone, "state": state}, "t")) == said
    assert first_line(html(CERTIFICATE, "t")) == "A firm &lt;&amp; sons&gt;"


def test_it_names_whom_to_ask_and_how() -> None:
    text = html(CERTIFICATE, "t")
    assert '<a href="tel:+4301234">+43 (0)1 234</a>' in text
    assert '<a href="mailto:office%40firm.example">office@firm.example</a>' in text


@pytest.mark.parametrize(
    ("opened", "said"),
    [
        (OFFER, "send the form below by 25 December 2026"),
        ({**OFFER, "state": "accepted"}, "Before we come, see to"),
        (CERTIFICATE, "Keep the file with the papers of the building."),
        ({**CERTIFICATE, "outcome": FAILED}, "Ask us what will be done about the parts named above"),
        ({**CERTIFICATE, "state": "withdrawn", "withdrawn_at": DAY}, "Ask us why it was withdrawn"),
        (
            {**CERTIFICATE, "state": "superseded", "superseded_by": "C-2", "superseded_at": DAY},
            "what holds now stands in the new certificate",
        ),
    ],
)
def test_it_says_what_to_do(opened: dict[str, Any], said: str) -> None:
    assert said in html(opened, "t")


def test_a_german_quote_has_german_pages() -> None:
    assert '<html lang="de">' in html({**OFFER, "language": "de"}, "t")
    text = html({**CERTIFICATE, "language": "de", "outcome": FAILED}, "t")
    assert "Einbaubescheinigung" in text
    assert "Nicht erfüllt: W2." in text
    assert "Was zu tun ist" in text


def test_parts_with_faults_come_first() -> None:
    record = facts.certificate(off=None)
    *others, last = record["parts"]
    failed = last | {"found": last["found"] | {"verdict": "non_conforming"}}
    told = html({**CERTIFICATE, "record": record | {"parts": [*others, failed]}}, "t")
    rows = re.findall(r'<tr><th scope="row">(\S+)', told)
    assert rows[0] == last["cavity"]["label"]
    assert len(rows) == len(record["parts"])


def test_a_time_is_told_where_the_firm_is() -> None:
    """Midnight is past there: the day is the paper's."""
    firm = {**OFFER["firm"], "time_zone": "Europe/Vienna"}
    late = {**CERTIFICATE, "firm": firm, "issued_at": "2026-11-25T23:30:00Z"}
    assert "Issued on 26 November 2026." in html(late, "t")


def test_one_that_was_replaced_names_the_new_one() -> None:
    gone = {"state": "superseded", "superseded_by": "C-2", "superseded_at": "2026-11-26T08:00:00Z"}
    assert 'href="/verify/C-2"' in html({**CERTIFICATE, **gone}, "t")


def test_an_erased_file_is_not_offered() -> None:
    text = html({**OFFER, "file_erased_at": "2026-11-27T08:00:00Z"}, "t")
    assert "/document" not in text
    assert "erased here on 27 November 2026" in text


def test_a_link_that_opens_nothing_says_why_it_may() -> None:
    assert "This link opens nothing" in closed(erased=False, language="en")
    assert "The document was erased" in closed(erased=True, language="en")
    assert "Dieser Link öffnet nichts" in closed(erased=False, language="de")


def test_the_policy_is_of_the_style_that_is_on_the_page() -> None:
    assert STYLE in html(OFFER, "t")
    digest = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
    assert f"'sha256-{digest}'" in POLICY
