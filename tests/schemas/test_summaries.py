"""The days of a summary are named from and to, and both are needed."""

import pytest
from marshmallow import ValidationError

from schemas.summaries import SummaryQuery


def test_both_days_are_needed() -> None:
    with pytest.raises(ValidationError) as caught:
        SummaryQuery().load({})
    assert set(caught.value.messages) == {"from", "to"}  # type: ignore[arg-type]
