"""What is posted of a supplement: shape and ranges."""

from typing import Any
from uuid import uuid4

import pytest
from marshmallow import Schema, ValidationError

from schemas.supplements import ReasonBody, SupplementBody, TakeoverBody, TermsBody

WHO = {"id": str(uuid4()), "by": "Crew 1"}


@pytest.mark.parametrize(
    ("schema", "body"),
    [
        (SupplementBody, WHO),
        (SupplementBody, {**WHO, "counts": [{"cavity": "W1", "count": 0}]}),
        (SupplementBody, {**WHO, "lines": [{"text": "Skip", "quantity": 1, "unit": "piece"}]}),
        (TermsBody, {}),
        (TermsBody, {"unit_prices": ["12.50"], "valid_days": 14}),
        (ReasonBody, {}),
        (TakeoverBody, {"by": "Office", "reason": "It is filled."}),
    ],
)
def test_what_is_read(schema: type[Schema], body: dict[str, Any]) -> None:
    assert schema().load(body).keys() == body.keys()


@pytest.mark.parametrize(
    ("schema", "body"),
    [
        (SupplementBody, {"by": "Crew 1"}),
        (SupplementBody, {**WHO, "price": "1.00"}),
        (SupplementBody, {**WHO, "counts": [{"cavity": "W1", "count": -1}]}),
        (
            SupplementBody,
            {**WHO, "lines": [{"text": "Skip", "quantity": 1, "unit": "piece", "unit_price": "1"}]},
        ),
        (TermsBody, {"unit_prices": [12.5]}),
        (TakeoverBody, {"by": "Office"}),
    ],
    ids=["no id", "a price", "a count", "a price of a line", "money as a number", "no reason"],
)
def test_what_is_refused(schema: type[Schema], body: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        schema().load(body)
