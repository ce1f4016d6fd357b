"""Short answers: a few hundred bytes a cavity, no working read for them, and a price for who may see it."""

import json
from copy import deepcopy
from typing import Any

import pytest
from flask import Flask

from schemas.jobs import Job
from schemas.quotes import Quote, QuoteHead, QuotePage
from service.engine.ground.figures import rounded
from service.usecases.work.short import short
from tests.api import ACCEPTED, Api, building, small_building
from tests.statements import statements

LINE = [
    *("label", "element", "count", "net_area_m2", "net_volume_m3", "depth_mm", "mass_kg", "bags"),
    *("target_kg_m3", "method", "hours", "holes", "u_value_w_m2k", "cautions"),
]
MOST_BYTES = 25_000


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database is enough: a short answer is read as it was stored."""
    return sqlite_url


def many(cavities: int = 50) -> dict[str, Any]:
    """The demo building's cavities, again and again."""
    surveyed = building()["cavities"]
    copies = [deepcopy(surveyed[number % len(surveyed)]) for number in range(cavities)]
    labelled = [{**each, "label": f"{each['label']}-{number}"} for number, each in enumerate(copies)]
    return {**building(), "cavities": labelled}


def accepted(api: Api, body: Any = None) -> Any:
    """A quote in short that became a job."""
    quote = api.send("POST", "/v1/quotes", body or small_building(), role="sales").json
    for step, said in (("offer", None), ("acceptance", ACCEPTED)):
        answer = api.send("POST", f"/v1/quotes/{quote['id']}/{step}", said, role="sales")
        assert answer.status_code in (200, 201), answer.text
        assert list(answer.json["takeoff"]["cavities"][0]) == LINE
        assert "cavities" not in answer.json
    return answer.json


def test_fifty_cavities_answer_with_little(api: Api) -> None:
    quote = accepted(api, many())
    sizes = {
        path: len(api.send("GET", path, role="office").data)
        for path in (f"/v1/quotes/{quote['id']}", f"/v1/jobs/{quote['job_id']}")
    }
    sizes["/v1/takeoffs"] = len(api.send("POST", "/v1/takeoffs", many(), role="office").data)
    assert max(sizes.values()) <= MOST_BYTES, sizes
    lines = json.dumps(quote["takeoff"]["cavities"], separators=(",", ":"))
    assert len(lines) / 50 <= 350


def test_a_quote_says_in_short_what_its_working_says(api: Api) -> None:
    body = small_building(reference="In short")
    made = api.send("POST", "/v1/quotes", body, role="sales")
    assert made.status_code == 201
    changed = api.send(
        "PUT", made.headers["Location"], body, role="sales", If_Match=made.headers["ETag"]
    ).json
    full = api.send("GET", f"{made.headers['Location']}/working", role="sales").json
    worked, lines = full["takeoff"]["cavities"], changed["takeoff"]["cavities"]
    assert [list(line) for line in lines] == [LINE] * len(worked)
    for line, each in zip(lines, worked, strict=True):
        assert line["mass_kg"] == each["mass_kg"]
        assert line["net_area_m2"] == each["geometry"]["net_area_m2"]
        assert line["holes"] == each["fill_plan"]["holes"]
    shared = full.keys() - {"cavities", "takeoff"}
    assert {name: changed[name] for name in shared} == {name: full[name] for name in shared}
    assert changed["takeoff"]["price"] == full["takeoff"]["price"]
    said = {
        (each["said"]["code"], label) for each in changed["takeoff"]["cautions"] for label in each["cavities"]
    }
    assert said == {(caution["code"], each["label"]) for each in worked for caution in each["cautions"]}


def test_a_page_is_what_its_schema_makes_of_it(api: Api) -> None:
    """It is answered as it is made, by no schema."""
    accepted(api)
    gone = api.quote()["id"]
    assert api.send("POST", f"/v1/quotes/{gone}/withdrawal").status_code == 200
    asked = {"role": "office", "Idempotency_Key": gone}
    assert (
        api.send("POST", f"/v1/quotes/{gone}/erasure", {"reason": "Asked for."}, **asked).status_code == 200
    )
    page = api.send("GET", "/v1/quotes").json
    assert {"accepted", "withdrawn"} <= {each["state"] for each in page["items"]}
    assert QuotePage().dump(page) == page
    assert all(each.keys() == QuoteHead().fields.keys() for each in page["items"])


def test_a_working_may_be_of_one_cavity(api: Api) -> None:
    quote = accepted(api)
    label = quote["takeoff"]["cavities"][1]["label"]
    for path, role in ((f"/v1/quotes/{quote['id']}", "sales"), (f"/v1/jobs/{quote['job_id']}", "installer")):
        one = api.send("GET", f"{path}/working?cavity={label}", role=role).json
        assert [each["label"] for each in one["cavities"]] == [label]
        assert [each["label"] for each in one["takeoff"]["cavities"]] == [label]
        assert api.send("GET", f"{path}/working?cavity=nowhere", role=role).status_code == 404


@pytest.mark.parametrize(
    ("role", "sees"), [("sales", True), ("office", True), ("installer", False), ("signatory", False)]
)
@pytest.mark.parametrize("path", ["", "/working"])
def test_a_job_has_its_price_for_sales_and_office_alone(api: Api, path: str, role: str, sees: bool) -> None:
    answer = api.send("GET", f"/v1/jobs/{accepted(api)['job_id']}{path}", role=role)
    assert ("price" in answer.json["takeoff"]) is sees
    assert ("price" in answer.text) is sees
    assert answer.json["takeoff"]["mass_kg"] > 0


def test_a_job_has_a_line_for_each_of_identical_cavities(api: Api) -> None:
    body = small_building()
    body["cavities"] = [{**body["cavities"][0], "label": "W1", "count": 3}]
    quote = accepted(api, body)
    (posted,) = quote["takeoff"]["cavities"]
    job = api.send("GET", f"/v1/jobs/{quote['job_id']}", role="installer").json
    lines = job["takeoff"]["cavities"]
    assert [(line["label"], line["count"]) for line in lines] == [("W1.1", 1), ("W1.2", 1), ("W1.3", 1)]
    assert sum(line["mass_kg"] for line in lines) == pytest.approx(posted["mass_kg"], rel=1e-4)
    assert {label for each in job["takeoff"]["cautions"] for label in each["cavities"]} == {
        line["label"] for line in lines
    }


def test_no_working_is_read_for_a_short_answer(app: Flask, api: Api) -> None:
    quote = accepted(api)
    for path in (f"/v1/quotes/{quote['id']}", f"/v1/jobs/{quote['job_id']}"):
        with statements(app) as sent:
            assert api.send("GET", path, role="office").status_code == 200
        asked = "\n".join(sent)
        assert "quotes.short" in asked
        for heavy in ("planned", "surveyed", "single,", "basis", "quote_cavities"):
            assert heavy not in asked, heavy


def test_a_caution_is_said_once_for_all_that_it_is_of() -> None:
    one, other = ({"code": "a", "values": {"bays": bays}, "text": "A"} for bays in ([1], [2]))
    lines = [
        {"line": {"label": label}, "cautions": [said]}
        for label, said in (("W1", one), ("W2", other), ("W3", one))
    ]
    points = [{"code": "lights"}, {"code": "flue"}, {"code": "lights"}]
    found = short({"hold_points": points}, lines)
    assert found["cautions"] == [
        {"said": one, "cavities": ["W1", "W3"]},
        {"said": other, "cavities": ["W2"]},
    ]
    assert found["hold_points"] == ["lights", "flue"]


def test_what_is_kept_as_it_is_answered_is_what_the_schemas_would_answer(api: Api) -> None:
    quote = accepted(api, small_building(reference="As kept"))
    for schema, path in ((Quote(), f"quotes/{quote['id']}"), (Job(), f"jobs/{quote['job_id']}")):
        told = api.send("GET", f"/v1/{path}", role="office").json
        assert schema.dump(told) == told
        posted = told["takeoff"]
        assert posted == rounded(posted)
    offered = api.send("GET", f"/v1/quotes/{quote['id']}", role="sales")
    assert {**quote, "warnings": offered.json["warnings"]} == offered.json
