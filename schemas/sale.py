"""What an office adds to a price: lines, a discount, payments."""

from collections.abc import Mapping
from typing import Any

from marshmallow import validates_schema

from schemas.fields import Amount, Number, Text
from schemas.posted import Posted
from schemas.shapes import described_by
from schemas.wrong import wrong
from service.engine.ground.messages import message
from service.engine.plan import sale


class Line(Posted):
    """A line that the office writes itself."""

    text = Text(required=True, metadata={"description": "What it is for, in the language of the offer."})
    quantity = Number(
        least=0.01,
        most=1_000_000,
        required=True,
        metadata={"description": "How much of it."},
    )
    unit = Text(longest=20, required=True, metadata={"description": "What it is priced by."})
    unit_price = Amount(
        required=True,
        metadata={"description": "Price of one unit before tax; what is taken off is a discount."},
    )


@described_by(sale.Discount)
class Discount(Posted):
    """What the office takes off: either a share or an amount."""

    percent = Amount(most="100")
    amount = Amount()
    reason = Text()

    @validates_schema
    def one_of_both(self, data: Mapping[str, Any], **_options: Any) -> None:
        """Both would leave open which holds."""
        if ("percent" in data) == ("amount" in data):
            raise wrong(message("schemas.percent_or_amount"))


@described_by(sale.Payment)
class Payment(Posted):
    """A part of the total that is due at its time."""

    percent = Amount(least="0.01", most="100", required=True)
    due = Text(required=True)
