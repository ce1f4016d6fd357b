"""The next page's address: that of this one, with another cursor (RFC 8288)."""

import pytest
from flask import Flask

from service.api.paging import next_link

pytestmark = pytest.mark.one_database


def test_the_last_page_names_no_other(app: Flask) -> None:
    with app.test_request_context("/v1/quotes?limit=2"):
        assert next_link({"next": None}) == {}


def test_the_next_one_is_asked_for_as_this_one_was(app: Flask) -> None:
    with app.test_request_context("/v1/quotes?limit=2&state=draft%26x&after=old"):
        link = next_link({"next": "new"})["Link"]
    assert link == '</v1/quotes?limit=2&state=draft%26x&after=new>; rel="next"'
