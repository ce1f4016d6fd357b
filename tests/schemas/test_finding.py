"""What quotes and jobs are found by."""

from datetime import date

import pytest
from marshmallow import ValidationError

from schemas.finding import FoundBy


def test_days_are_called_from_and_to() -> None:
    found = FoundBy().load({"from": "2026-11-01", "to": "2026-11-30", "client": "Ada"})
    assert found == {"since": date(2026, 11, 1), "until": date(2026, 11, 30), "client": "Ada"}


@pytest.mark.parametrize(
    "sent",
    [
        {"from": "yesterday"},
        {"client": " "},
        {"since": "2026-11-01"},
        {"from": "2026-11-02", "to": "2026-11-01"},
    ],
)
def test_what_cannot_be_is_refused(sent: dict[str, str]) -> None:
    with pytest.raises(ValidationError):
        FoundBy().load(sent)
