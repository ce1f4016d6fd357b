"""Many parts are named in few words, and none is left out."""

import pytest

from service.documents.wording.names import named

WALLS = [f"{floor:02}-{side}" for floor in range(1, 21) for side in "NESW"]


def test_a_few_are_named_as_they_are() -> None:
    assert named([]) == ""
    assert named([f"W{number}" for number in range(1, 13)]) == ", ".join(f"W{n}" for n in range(1, 13))


@pytest.mark.parametrize(
    ("labels", "said"),
    [
        (WALLS, "01-N – 20-N, 01-E – 20-E, 01-S – 20-S, 01-W – 20-W"),
        ([f"W{number}" for number in (*range(1, 9), 10, 12, *range(14, 20))], "W1 – W8, W10, W12, W14 – W19"),
        (
            [f"F{floor}-W{wall}" for floor in (1, 2) for wall in range(1, 11)],
            "F1-W1 – F1-W10, F2-W1 – F2-W10",
        ),
        ([*"abcdefghijklm"], "a, b, c, d, e, f, g, h, i, j, k, l, m"),
        (["attic", *(f"R{number}" for number in range(1, 14))], "attic, R1 – R13"),
    ],
)
def test_many_are_named_as_runs(labels: list[str], said: str) -> None:
    assert named(labels) == said
