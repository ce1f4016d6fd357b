"""Whatever the schemas take can be worked with, or is refused by name: never anything else."""

import json
import shutil
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st
from uuid6 import uuid7

from schemas.entries import KINDS
from schemas.materials import MaterialBody
from schemas.practice import PracticeBody
from schemas.price_lists import PriceListBody
from schemas.takeoffs import TakeoffBody
from tests.api import DEMO, Api, building, day_of, problem, small_building
from tests.bodies import changed
from tests.long import rounds

# The API's fixture holds nothing of an example: each brings what it needs, and leaves what was accepted.
same_api = settings(
    max_examples=rounds(short=40, long=400),
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@pytest.fixture(scope="module")
def database_url(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("properties") / "database.sqlite3"
    shutil.copyfile(sqlite_template, path)
    return f"sqlite:///{path}"


def from_file(name: str) -> Any:
    return json.loads((DEMO / name).read_text(encoding="utf-8"))


TAKEOFF = {
    "practice": "eu",
    "material": "CF-STD",
    "currency": "EUR",
    "priced_on": "2026-11-25",
    "cavities": building()["cavities"],
}
SMALL = {**TAKEOFF, "cavities": small_building()["cavities"], "explain": True, "what_if": True}
MATERIAL = {name: value for name, value in from_file("materials/cf-std.json").items() if name != "code"}


def taken_or_named(api: Api, method: str, path: str, body: Any, **headers: str) -> bool:
    """Whether a body was taken; else it was refused, and every fault names its place."""
    answer = api.send(method, path, body, **headers)
    # What is posted once more, as it stands, is in force already.
    if answer.status_code in (200, 201, 409):
        event("taken")
        return True
    found = problem(answer, 422)
    assert all(error["pointer"] == "" or error["pointer"].startswith("/") for error in found["errors"])
    event("refused")
    return False


@given(
    body=st.sampled_from(TAKEOFF["cavities"]).flatmap(
        lambda c: changed(TakeoffBody(), {**TAKEOFF, "cavities": [c]}, 3)
    )
)
@same_api
def test_a_building(api: Api, body: dict[str, Any]) -> None:
    names = {name: TAKEOFF[name] for name in ("practice", "material", "currency", "priced_on")}
    taken_or_named(api, "POST", "/v1/takeoffs", {**body, **names})


@given(sheet=changed(MaterialBody(), MATERIAL))
@same_api
def test_a_material(api: Api, sheet: dict[str, Any]) -> None:
    sheet["in_force_from"] = "2026-01-01"
    if taken_or_named(api, "PUT", "/v1/materials/TRIAL", sheet):
        taken_or_named(api, "POST", "/v1/takeoffs", {**SMALL, "material": "TRIAL"})


@given(profile=changed(PracticeBody(), from_file("practice/eu.json")))
@same_api
def test_a_practice(api: Api, profile: dict[str, Any]) -> None:
    profile |= {"in_force_from": "2026-01-01", "code": "trial"}
    if taken_or_named(api, "POST", "/v1/practice", profile):
        taken_or_named(api, "POST", "/v1/takeoffs", {**SMALL, "practice": "trial"})


@given(prices=changed(PriceListBody(), from_file("price-lists/eur-2026-10-01.json")))
@same_api
def test_a_price_list(api: Api, prices: dict[str, Any]) -> None:
    prices |= {"in_force_from": "2026-01-01", "currency": "USD"}
    if taken_or_named(api, "POST", "/v1/price-lists", prices):
        taken_or_named(api, "POST", "/v1/takeoffs", {**SMALL, "currency": "USD"})


@pytest.fixture(scope="module")
def job(app: Any) -> Any:
    return Api(app).job()


@pytest.fixture(scope="module")
def day(job: Any) -> list[Any]:
    """A day's entries, the same for each example: what is drawn depends on what they hold."""
    return [entry for batch in day_of(job) for entry in batch]


@given(data=st.data())
@same_api
def test_a_ledger(api: Api, job: Any, day: list[Any], data: st.DataObject) -> None:
    good = data.draw(st.sampled_from(day))
    entry = data.draw(changed(KINDS[good["kind"]](), good))
    if entry.get("id") == good["id"]:
        entry |= {"id": str(uuid7())}
    path = f"/v1/jobs/{job['id']}"
    taken_or_named(
        api, "POST", f"{path}/entries", {"entries": [entry]}, role="installer", Idempotency_Key=str(uuid4())
    )
    assert api.send("GET", f"{path}/assessment").status_code == 200
