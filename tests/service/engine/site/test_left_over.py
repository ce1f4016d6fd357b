"""What was left over, however often and of whatever it was said."""

import pytest

from service.engine.site.left_over import left_over
from tests import site


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ([], {}),
        ([(None, 20), (None, 3)], {None: 3}),
        ([("A", 20), ("A", 3), ("B", 4)], {"A": 3, "B": 4}),
        ([("A", 20), ("B", 4), (None, 5)], {None: 5}),
        ([(None, 20), ("A", 2), ("B", 1)], {"A": 2, "B": 1}),
    ],
    ids=["nothing", "counted each evening", "by lot", "of all lots after each", "of each lot after all"],
)
def test_the_last_word_of_each_lot_or_of_all_counts(said, left) -> None:
    deliveries = [site.delivery(minute, lot=lot, left_over=bags) for minute, (lot, bags) in enumerate(said)]
    assert left_over(deliveries=[site.delivery(bags=40), *deliveries]) == left
