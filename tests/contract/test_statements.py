"""A request asks the database as often for a large building as for a small one."""

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from tests.api import Api, building, day_of, small_building
from tests.statements import statements

pytestmark = pytest.mark.usefixtures("papers_plain")


def house(cavities: int) -> dict[str, Any]:
    """A quote's body with so many cavities: a deep wall, again and again."""
    wall = next(each for each in building()["cavities"] if len(each["layers"]) == 3)
    copies = [{**deepcopy(wall), "label": f"W{number}"} for number in range(1, cavities + 1)]
    return small_building(cavities=copies)


def asked(app: Flask, act: Callable[[], TestResponse]) -> list[str]:
    """The statements of a request that goes well."""
    with statements(app) as sent:
        answer = act()
    assert answer.status_code in (200, 201), answer.text
    return sent


@pytest.mark.parametrize("path", ["/v1/quotes", "/v1/takeoffs"])
def test_working_out_a_building(app: Flask, api: Api, path: str) -> None:
    def post(cavities: int) -> TestResponse:
        return api.send("POST", path, house(cavities), role="sales")

    post(1)  # the first use of a key is noted in its row
    small, large = (asked(app, lambda count=count: post(count)) for count in (1, 50))
    assert large == small


def test_recording_and_assessing(app: Flask, api: Api) -> None:
    sent: dict[int, list[list[str]]] = {}
    for cavities in (1, 1, 8):  # twice, as the first use of a key is noted in its row
        job = api.job(house(cavities))
        before, *within, after = day_of(job)
        assert len(within) == cavities
        assert api.record(job, before).status_code == 201
        whole_day = [entry for batch in within for entry in batch]
        path = f"/v1/jobs/{job['id']}"
        sent[cavities] = [
            asked(app, lambda job=job, batch=whole_day: api.record(job, batch)),
            asked(app, lambda job=job, batch=after: api.record(job, batch)),
            asked(app, lambda path=path: api.send("GET", f"{path}/entries", role="installer")),
            asked(app, lambda path=path: api.send("GET", f"{path}/assessment", role="installer")),
            asked(app, lambda job=job: api.issue(job)),
        ]
    for few, many in zip(*sent.values(), strict=True):
        assert len(many) == len(few)
