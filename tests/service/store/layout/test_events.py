"""Rows of events, subscriptions and deliveries hold what their tables have."""

import pytest
from sqlalchemy import Table

from service.store.layout import events, tasks
from tests.columns import assert_row_of, name_of


@pytest.mark.parametrize(
    ("kind", "table"),
    [
        (events.Event, events.events),
        (events.Subscription, events.subscriptions),
        (events.Delivery, events.deliveries),
    ],
    ids=name_of,
)
def test_a_row_has_the_columns_of_its_table(kind: type, table: Table) -> None:
    assert_row_of(kind, table)


def test_how_a_delivery_stands_is_what_its_task_says() -> None:
    assert set(events.DeliveryState.__annotations__) - {"subscription_id"} <= set(tasks.tasks.c.keys())
