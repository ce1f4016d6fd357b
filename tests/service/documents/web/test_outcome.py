"""Whatever fails, is undecided, unfilled or conceded stands on the page by its name, and without a tick."""

from datetime import UTC, datetime
from typing import Any

import pytest

from service.documents.web import verification
from service.documents.web.outcome import Outcome, outcome
from service.documents.wording.formats import Units

NOON = datetime(2026, 11, 27, 12, tzinfo=UTC)
GOOD = {"cavity": "W1", "verdict": "conforming"}


def standing(**changed: Any) -> dict[str, Any]:
    """What is known of a certificate of one part that conforms."""
    told = {"parts": [GOOD], "not_part": [], "concessions": []}
    return {
        **{"number": "C-1", "state": "in_force", "issued_at": "2026-11-25T08:00:00Z", "issued_by": "A firm"},
        **{"superseded_by": None, "file_sha256": "ab" * 32, "record_sha256": "cd" * 32},
        "added_to_at": changed.pop("added_to_at", None),
        "time_zone": changed.pop("time_zone", "UTC"),
        "signature": changed.pop("signature", "none"),
        "outcome": told | changed,
    }


def found(**changed: Any) -> Outcome:
    return outcome(standing(**changed), Units("eu"))


def shown(language: str = "en", **changed: Any) -> str:
    """The page of the certificate's number."""
    return verification.html(standing(**changed), NOON, language=language)


def test_how_the_file_is_signed_is_told() -> None:
    assert "with a timestamp of an authority" in shown(signature="timestamped")
    assert "without a timestamp: the time is the firm’s own" in shown(signature="firm")
    assert "Not signed electronically." in shown()
    assert "Nicht elektronisch signiert." in shown("de")


def test_days_and_hours_are_those_of_the_firms_place() -> None:
    text = shown(time_zone="Pacific/Kiritimati", added_to_at="2026-11-25T13:00:00Z")
    assert "25 November" in text
    assert "26 November" in text
    assert "28 Nov 2026, 02:00 +14" in text
    assert "UTC" not in text


def test_where_all_is_well_it_says_so_and_nothing_else() -> None:
    assert not found().flawed
    assert "✓ 1 part conforms." in shown()
    assert "<strong>" not in shown()


WRONG: list[tuple[dict[str, Any], str, str]] = [
    (
        {"parts": [GOOD, {"cavity": "W2", "verdict": "non_conforming"}]},
        *("Does not conform: W2.", "Nicht erfüllt: W2."),
    ),
    (
        {"parts": [GOOD, {"cavity": "W2", "verdict": "inconclusive"}]},
        *("Undecided: W2.", "Nicht entschieden: W2."),
    ),
    ({"parts": [GOOD, {"cavity": "W2", "verdict": None}]}, "Undecided: W2.", "Nicht entschieden: W2."),
    (
        {"not_part": [{"cavity": "A1", "element": "attic", "filled": False}]},
        *("Not filled, and not part of this certificate: A1.", "A1.</strong>"),
    ),
    (
        {"concessions": [{"condition": "samples_missing", "cavity": "W1", "subjects": ["W1/3"]}]},
        *("A concession was granted for W1: ", "Sonderfreigabe für W1: "),
    ),
    (
        {"concessions": [{"condition": "lot_missing", "cavity": None, "subjects": []}]},
        *("A concession was granted: ", "Sonderfreigabe: "),
    ),
    (
        {"added_to_at": "2026-11-26T08:00:00Z"},
        *("The record was added to on 26 November 2026", "Am 26. November 2026"),
    ),
]


@pytest.mark.parametrize(("changed", "english", "german"), WRONG)
def test_what_is_wrong_is_named(changed: dict[str, Any], english: str, german: str) -> None:
    assert found(**changed).flawed
    assert f"<strong>{english}" in shown(**changed)
    assert german in shown("de", **changed)
    assert "✓" not in shown(**changed)
    assert 'class="standing noted"' in shown(**changed)


def test_one_that_no_longer_stands_says_first_of_all_that_it_does_not() -> None:
    gone = standing() | {"state": "withdrawn", "withdrawn_at": "2026-11-26T08:00:00Z"}
    text = verification.html(gone, NOON, language="de")
    assert text.index("Zurückgezogen am 26. November 2026") < text.index("A firm</p>")
    assert "✓" not in text


@pytest.mark.parametrize("state", ["superseded", "withdrawn"])
def test_one_that_no_longer_stands_asks_for_no_new_one_for_what_was_added_since(state: str) -> None:
    when = "2026-11-26T08:00:00Z"
    gone = {"state": state, "superseded_by": "C-2", "superseded_at": when, "withdrawn_at": when}
    text = verification.html(standing(added_to_at=when) | gone, NOON, language="en")
    assert "added to" not in text


def test_every_concession_is_named() -> None:
    many = [{"condition": "samples_missing", "cavity": f"W{place}", "subjects": []} for place in range(1, 9)]
    text = shown(concessions=many)
    assert all(f"for W{place}:" in text for place in range(1, 9))


def test_a_concession_does_not_name_its_part_twice() -> None:
    granted = {"condition": "samples_missing", "cavity": "W1", "subjects": ["W1", "W1/3"]}
    assert "A concession was granted for W1: samples are missing (W1/3)." in shown(concessions=[granted])
    assert "W1: samples are missing." in shown(concessions=[granted | {"subjects": ["W1"]}])


def test_a_part_of_another_certificate_is_no_flaw() -> None:
    left_out = [{"cavity": "F1", "element": "floor", "filled": True}]
    assert not found(not_part=left_out).flawed
    assert "<li>Not part of this certificate: F1.</li>" in shown(not_part=left_out)
