"""A request asks the database as often for a large building as for a small one."""

from collections.abc import Callable
from copy import deepcopy
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from service.usecases.work import previews, rendering
from tests.api import Api, building, day_of, problem, small_building, work_off
from tests.calls import calls
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


@pytest.mark.one_database
def test_a_batch_takes_as_much_in_a_large_job_of_which_much_was_said(app: Flask, api: Api) -> None:
    """Counted in calls of functions: each row of another part, and each of its columns, would show."""

    def record(job: Any, *batch: Any) -> None:
        answer = api.record(job, list(batch))
        assert answer.status_code == 201, answer.text

    def taken(cavities: int) -> list[int]:
        job = api.job(house(cavities))
        before, first, *others, _ = day_of(job)
        for batch in (before, *others):
            record(job, *batch)
        gone = {"kind": "correction", "entry": first[-1]["id"], "reason": "A slip."}
        gone |= {name: first[-1][name] for name in ("happened_at", "by")} | {"id": str(uuid4())}
        return [calls(lambda: record(job, *first)), calls(lambda: record(job, gone))]

    taken(2)  # what is made once is kept
    few, many = taken(3), taken(12)
    assert all(large <= 1.03 * small for small, large in zip(few, many, strict=True)), (few, many)


@pytest.mark.one_database
def test_whether_a_job_is_ready_is_no_question_while_a_part_is_untouched(app: Flask, api: Api) -> None:
    """A worker looks after each batch: no working is read until something was said of every part."""
    job = api.job(house(2))
    work_off(app, kinds=("readiness",))  # of other tests' jobs
    before, first, second, after = day_of(job)
    for batch, reads in (([*before, *first], False), ([*second, *after], True)):
        assert api.record(job, batch).status_code == 201
        with statements(app) as sent:
            work_off(app, kinds=("readiness",))
        assert any("quote_cavities.planned" in each for each in sent) == reads


@pytest.mark.one_database
def test_a_preview_that_nobody_can_wait_for_is_refused_at_once(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By its limit, and with what to ask for instead, before anything is worked out."""
    monkeypatch.setattr(previews, "MOST_SHOWN", 2)
    monkeypatch.setattr(rendering, "shown", lambda *_: b"%PDF-")
    job = api.job(house(3))
    labels = [each["label"] for each in job["cavities"]]
    refused = problem(api.preview(job, Accept="application/pdf"), 422)
    assert refused["code"] == "api.field_wrong"
    assert refused["errors"][0]["values"] == {"most": 2, "there": 3}
    assert problem(api.preview(job, *labels, Accept="application/pdf"), 422)["errors"] == refused["errors"]
    assert api.preview(job).status_code == 200
    assert api.preview(job, *labels[:2], Accept="application/pdf").status_code == 200
