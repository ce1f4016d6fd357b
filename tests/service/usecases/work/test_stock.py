"""An order list is of days or of jobs that there are."""

import pytest

from service.errors import InvalidInput
from service.usecases.base.context import Context
from service.usecases.work.stock import For, orders, read


def test_a_firm_whose_jobs_say_nothing_has_nothing(context: Context) -> None:
    assert read(context, 50) == {"items": [], "next": None}


@pytest.mark.parametrize("asked", [For(), For(numbers=["J-1999-0001"])], ids=str)
def test_which_jobs_has_to_be_said(context: Context, asked: For) -> None:
    with pytest.raises(InvalidInput):
        orders(context, asked)
