"""Quotes as they are answered: what one of them is asked for alone, and what somebody may have overlooked."""

from uuid import uuid4

import pytest

from service.errors import NotKnown
from service.usecases.base.context import Context
from service.usecases.work import quotes
from tests.api import Api


def test_a_working_is_that_of_all_cavities_or_of_one(api: Api) -> None:
    whole = api.quote()
    label = whole["cavities"][1]["label"]
    path = f"/v1/quotes/{whole['id']}/working"
    one = api.send("GET", f"{path}?cavity={label}")
    assert [each["label"] for each in one.json["cavities"]] == [label]
    assert one.json["takeoff"]["cavities"] == whole["takeoff"]["cavities"][1:2]
    assert one.json["takeoff"]["price"] == whole["takeoff"]["price"]
    assert api.send("GET", f"{path}?cavity=nowhere").status_code == 404


def test_what_there_is_not_is_not_known(context: Context) -> None:
    for ask in (quotes.read, quotes.working):
        with pytest.raises(NotKnown):
            ask(context, uuid4())
