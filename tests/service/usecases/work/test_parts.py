"""An accepted offer holds identical cavities one by one: each is filled and judged by itself."""

from typing import Any

import pytest

from service.store.types import Deflated
from service.usecases.base.json import written
from service.usecases.work.parts import Relabelled
from tests.api import ACCEPTED, Api, small_building


def counted(label: str = "W1", count: int = 3, **fields: Any) -> dict[str, Any]:
    """The small building, its first cavity three times."""
    body = small_building()
    first = {**body["cavities"][0], "label": label, "count": count, **fields}
    return {**body, "cavities": [first, *body["cavities"][1:]]}


def test_price_and_quote_keep_one_line_and_the_job_has_each(api: Api) -> None:
    quote = api.quote(counted())
    (line,) = [each for each in quote["takeoff"]["cavities"] if each["label"] == "W1"]
    assert line["count"] == 3
    api.send("POST", f"/v1/quotes/{quote['id']}/offer", role="office")
    job_id = api.send("POST", f"/v1/quotes/{quote['id']}/acceptance", ACCEPTED, role="office").json["job_id"]
    job = api.send("GET", f"/v1/jobs/{job_id}/working", role="office").json
    singles = [each for each in job["takeoff"]["cavities"] if each["label"].startswith("W1.")]
    assert [(each["label"], each["count"]) for each in singles] == [("W1.1", 1), ("W1.2", 1), ("W1.3", 1)]
    assert {each.get("count", 1) for each in job["cavities"]} == {1}
    for name in ("mass_kg", "samples"):
        assert sum(each[name] for each in singles) == pytest.approx(line[name], rel=1e-4)
    assert sum(each["fill_plan"]["holes"] for each in singles) == line["fill_plan"]["holes"]
    volumes = [each["geometry"]["net_volume_m3"] for each in singles]
    assert sum(volumes) == pytest.approx(line["geometry"]["net_volume_m3"], rel=1e-4)
    for each in singles:
        assert {space["label"].partition("/")[0] for space in each["compartments"]} == {each["label"]}
    again = api.send("GET", f"/v1/quotes/{quote['id']}/working", role="office").json
    assert again["cavities"][0]["count"] == 3


def test_a_label_that_would_clash_is_refused_when_posted(api: Api) -> None:
    body = counted()
    body["cavities"].append({**small_building()["cavities"][0], "label": "W1.2"})
    refused = api.send("POST", "/v1/quotes", body, role="office")
    assert refused.status_code == 422
    assert [each["pointer"] for each in refused.json["errors"]] == [
        f"/cavities/{len(body['cavities']) - 1}/label"
    ]


def test_what_is_only_estimated_cannot_be_offered(api: Api) -> None:
    quote = api.send("POST", "/v1/quotes", counted(count=1, surveyed="estimated"), role="office").json
    refused = api.send("POST", f"/v1/quotes/{quote['id']}/offer", role="office")
    assert (refused.status_code, refused.json["code"]) == (409, "quotes.estimated")


def test_what_one_was_worked_out_to_is_read_and_written_under_each_ones_label() -> None:
    first = Deflated.of({"label": "W1.1", "loads": [{"label": "W1.1/3"}, {"label": "W1.12"}]})
    third = Relabelled(first.content, "W1.1", "W1.3")
    assert third.plain == {"label": "W1.3", "loads": [{"label": "W1.3/3"}, {"label": "W1.12"}]}
    assert written([third]) == b'[{"label":"W1.3","loads":[{"label":"W1.3/3"},{"label":"W1.12"}]}]'
