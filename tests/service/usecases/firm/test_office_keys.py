"""Keys of the office on both databases: seen by their firm alone, never with what would open anything."""

from collections.abc import Callable

import pytest

from service.errors import NotKnown
from service.usecases.base.context import Context
from service.usecases.firm import keys, office_keys


def test_a_key_is_its_firms_alone(context: Context, office: Callable[[str], Context]) -> None:
    new = office_keys.create(context, "Sales", ["sales"])
    assert keys.identify(context.database, new["key"], context.now).firm_id == context.firm_id
    assert new["prefix"] in [each["prefix"] for each in office_keys.listed(context)["items"]]
    other = office("other")
    assert new["prefix"] not in [each["prefix"] for each in office_keys.listed(other)["items"]]
    with pytest.raises(NotKnown):
        office_keys.revoke(other, new["prefix"])
    with pytest.raises(NotKnown):
        office_keys.rotate(other, new["prefix"], 0)


def test_a_successor_answers_for_what_was_asked_before(context: Context) -> None:
    old = office_keys.create(context, "Sales", ["sales"])
    new = office_keys.rotate(context, old["prefix"], 0)
    before, after = (keys.identify(context.database, each["key"], context.now) for each in (new, new))
    assert before.first_key_id == after.first_key_id != after.key_id
