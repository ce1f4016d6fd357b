"""What an office adds to a price is refused where it would leave something open."""

from typing import Any

import pytest
from marshmallow import ValidationError

from schemas.sale import Discount, Line, Payment


@pytest.mark.parametrize(
    ("schema", "sent"),
    [
        (Discount, {}),
        (Discount, {"percent": "5", "amount": "10.00"}),
        (Discount, {"percent": "101"}),
        (Line, {"text": "Boards", "quantity": 1, "unit": "h", "unit_price": "-5.00"}),
        (Line, {"text": "Boards", "quantity": 1, "unit": "h"}),
        (Payment, {"percent": "0", "due": "on order"}),
    ],
    ids=str,
)
def test_what_leaves_something_open_is_refused(schema: Any, sent: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        schema().load(sent)
