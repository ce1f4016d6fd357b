"""What was left out is left out of the answer too, so that an answer can be posted again."""

from typing import Any

import pytest
from marshmallow import fields

from schemas.fields import Flag, Number, Several
from schemas.posted import Posted


class Board(Posted):
    thickness_mm = Number(least=1, most=100, required=True)
    mu = Number(least=0, most=100)
    ventilated = Flag()
    marks = Several(fields.String(), least=1, most=5)
    notes = Several(fields.String(), most=5)


@pytest.mark.parametrize(
    ("kept", "shown"),
    [
        ({"mu": None, "ventilated": None}, {}),
        # 0 and false were said.
        ({"mu": 0.0, "ventilated": False}, {"mu": 0.0, "ventilated": False}),
        # A list that cannot be posted empty was left out; one that can was said.
        ({"marks": [], "notes": []}, {"notes": []}),
        ({"marks": ["CE"]}, {"marks": ["CE"]}),
    ],
    ids=str,
)
def test_an_answer_can_be_posted_again(kept: dict[str, Any], shown: dict[str, Any]) -> None:
    found = Board().dump({"thickness_mm": 15.0, **kept})
    assert found == {"thickness_mm": 15.0, **shown}
    assert Board().load(found) == found
