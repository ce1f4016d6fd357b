"""What a certificate says first."""

from service.documents.papers.verdicts import conceded, verdicts


def test_every_part_is_named_under_what_is_to_be_said_of_it() -> None:
    outcome = {
        "parts": [
            {"cavity": "W1", "verdict": "conforming"},
            {"cavity": "W2", "verdict": "non_conforming"},
            {"cavity": "W3", "verdict": "inconclusive"},
            {"cavity": "W4", "verdict": None},
        ],
        "not_part": [{"cavity": "R1", "filled": False}, {"cavity": "R2", "filled": True}],
    }
    assert verdicts(outcome) == {
        "conforming": ["W1"],
        "non_conforming": ["W2"],
        "undecided": ["W3", "W4"],
        "not_filled": ["R1"],
        "left_out": ["R2"],
    }


def test_concessions_of_one_reason_stand_together_each_with_its_parts() -> None:
    one = {"reason": "Agreed.", "granted_by": "O. Office", "granted_at": "2026-11-24T14:40:00Z"}
    told = conceded(
        [
            one | {"condition": "density_inconclusive", "cavity": "W3"},
            one | {"condition": "density_inconclusive", "cavity": "W4"},
            one | {"condition": "stock_unreconciled", "cavity": None},
            one | {"condition": "lot_missing", "cavity": None, "reason": "Label lost."},
        ]
    )
    assert [each["conditions"] for each in told] == [
        [
            {"condition": "density_inconclusive", "cavities": ["W3", "W4"]},
            {"condition": "stock_unreconciled", "cavities": []},
        ],
        [{"condition": "lot_missing", "cavities": []}],
    ]
