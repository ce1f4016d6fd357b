"""How answers are written as JSON."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from flask import Flask

from service.api.answering import Json, as_kept

WORDS = {"b": 1, "a": ["Außenwand", 0.1, None]}


def test_members_stay_in_the_order_they_were_made_in_utf_8() -> None:
    provider = Json(Flask("trial"))
    assert provider.dumps(WORDS) == '{"b":1,"a":["Außenwand",0.1,null]}'
    assert provider.loads(provider.dumps(WORDS)) == WORDS


def test_what_is_no_plain_json_is_no_answer() -> None:
    with pytest.raises(TypeError):
        Json(Flask("trial")).dumps({"price": Decimal("1.10")})


def test_an_answer_says_what_it_is() -> None:
    app = Flask("trial")
    with app.app_context():
        answer = Json(app).response(WORDS)
    assert (answer.mimetype, answer.get_data(as_text=True)[:6]) == ("application/json", '{"b":1')


def test_what_is_kept_as_it_is_answered_is_written_by_the_same_rules() -> None:
    answer = as_kept({"price": Decimal("1.10"), "at": datetime(2026, 11, 25, tzinfo=UTC)}, {"ETag": '"1-a"'})
    assert answer.get_data(as_text=True) == '{"price":"1.10","at":"2026-11-25T00:00:00Z"}'
    assert (answer.mimetype, answer.headers["ETag"]) == ("application/json", '"1-a"')
