"""Whatever fails, is undecided, unfilled or conceded stands on the page by its name, and without a tick."""

from typing import Any

import pytest

from service.documents.web.outcome import flawed, lines

GOOD = {"cavity": "W1", "verdict": "conforming"}


def standing(**changed: Any) -> dict[str, Any]:
    """What is known of a certificate of one part that conforms."""
    outcome = {"parts": [GOOD], "not_part": [], "concessions": []}
    return {"added_to_at": changed.pop("added_to_at", None), "outcome": outcome | changed}


def test_nothing_is_said_where_all_is_well() -> None:
    assert lines(standing()) == []


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"parts": [GOOD, {"cavity": "W2", "verdict": "non_conforming"}]}, "Does not conform: W2."),
        ({"parts": [GOOD, {"cavity": "W2", "verdict": "inconclusive"}]}, "Undecided: W2."),
        ({"parts": [GOOD, {"cavity": "W2", "verdict": None}]}, "Undecided: W2."),
        (
            {"not_part": [{"cavity": "A1", "element": "attic", "filled": False}]},
            "Not filled, and not part of this certificate: A1.",
        ),
        (
            {"concessions": [{"condition": "samples_missing", "cavity": "W1", "subjects": ["W1/3"]}]},
            "A concession was granted, W1: ",
        ),
        (
            {"added_to_at": "2026-11-26T08:00:00Z"},
            "The record was added to on 26",
        ),
    ],
)
def test_what_is_wrong_is_named(changed: dict[str, Any], said: str) -> None:
    (line,) = told = lines(standing(**changed))
    assert line.text.startswith(said)
    assert flawed(told)


def test_a_part_of_another_certificate_is_no_flaw() -> None:
    told = lines(standing(not_part=[{"cavity": "F1", "element": "floor", "filled": True}]))
    assert [line.text for line in told] == ["Not part of this certificate: F1."]
    assert not flawed(told)
