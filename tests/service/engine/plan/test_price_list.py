"""A price list says what each of its prices is for."""

from dataclasses import fields

import pytest

from service.engine.ground.shapes import described
from service.engine.plan.price_list import Extra, MaterialPrice, PriceList, VolumeDiscount
from tests.builders import price_list


@pytest.mark.parametrize("kind", [PriceList, Extra, MaterialPrice, VolumeDiscount])
def test_every_field_says_what_it_means(kind: type) -> None:
    for name, hint in described(kind).items():
        assert any(isinstance(each, str) for each in getattr(hint, "__metadata__", ())), name


def test_no_price_has_a_default_that_nobody_set() -> None:
    """A firm that names no price of a hole is refused: nothing is done for nothing by mistake."""
    given = {field.name: getattr(price_list(), field.name) for field in fields(PriceList)}
    prices = [name for name in given if name.endswith(("_each", "_per_m", "_per_km", "_per_hour"))]
    assert len(prices) == 7
    for name in prices:
        with pytest.raises(TypeError, match=name):
            PriceList(**{other: value for other, value in given.items() if other != name})
