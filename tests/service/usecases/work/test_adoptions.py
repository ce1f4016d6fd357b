"""What ten certified jobs took is adopted by one request, and orders bags from its day on; fewer do not."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from math import ceil
from typing import Any

import pytest

from service.engine.ground.vocabulary import Element, Method
from service.engine.site.learned import Learned
from service.usecases.work import summaries
from tests.api import Api, problem, small_building

ASKED = {"from": "2026-01-01", "to": "2026-11-25", "element": "attic", "method": "open_blow"}
PATH = "/v1/practice/eu/adoptions"
FOUND = Learned(
    element=Element.ATTIC,
    method=Method.OPEN_BLOW,
    jobs=12,
    parts=19,
    median=1.1,
    lower_quartile=1.05,
    upper_quartile=1.2,
)


@pytest.fixture
def taught(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twelve certified jobs that took a tenth more in their attics."""
    summary = summaries.summary
    monkeypatch.setattr(summaries, "summary", lambda *of: replace(summary(*of), learned=(FOUND,)))


def takeoff(api: Api) -> Any:
    return api.send("POST", "/v1/takeoffs", small_building(priced_on="2027-02-01"), role="sales").json


@pytest.mark.usefixtures("taught")
def test_bags_are_ordered_by_it_and_the_fill_stays_as_planned(api: Api) -> None:
    before = takeoff(api)
    added = api.send("POST", PATH, {**ASKED, "in_force_from": "2027-01-01"})
    assert added.status_code == 201, added.text
    (row,) = added.json["experience"]
    assert (row["jobs"], row["parts"], row["median"]) == (12, 19, 1.1)
    assert (row["lower_quartile"], row["upper_quartile"]) == (1.05, 1.2)
    assert (row["source"], row["standing"]) == ("2026-01-01/2026-11-25", "declared")
    after = takeoff(api)
    assert after["mass_kg"] == before["mass_kg"]
    assert after["price"] == before["price"]
    wall, attic = before["cavities"]
    assert after["bags"] == ceil(wall["bags"] + attic["bags"] * 1.1)
    assert after["cavities"][1]["bags"] == pytest.approx(attic["bags"] * 1.1, rel=1e-5)
    # The same again says nothing new; another day takes the row's place.
    problem(api.send("POST", PATH, {**ASKED, "in_force_from": "2027-01-01"}), 409)


def test_what_few_jobs_say_is_not_adopted(api: Api) -> None:
    refused = problem(api.send("POST", PATH, {**ASKED, "in_force_from": "2027-01-01"}), 409)
    assert refused["code"] == "adoptions.too_few_jobs"
    assert api.send("GET", "/v1/practice").json["items"][-1]["experience"] == []


@pytest.mark.usefixtures("taught")
def test_of_another_practice_or_by_another_role_it_is_not(api: Api) -> None:
    body = {**ASKED, "in_force_from": "2027-01-01"}
    problem(api.send("POST", "/v1/practice/none/adoptions", body), 404)
    problem(api.send("POST", PATH, body, role="sales"), 403)


@pytest.mark.slow
def test_ten_certified_jobs_teach_what_they_took(api: Api) -> None:
    """Nothing made up: ten houses filled and certified, and the ninth is one too few."""
    until = (datetime.now(UTC) + timedelta(days=1)).date().isoformat()
    asked = {**ASKED, "to": until, "element": "wall", "in_force_from": "2027-01-01"}
    for number in range(10):
        job = api.worked(small_building(reference=f"LEARN-{number}"))
        asked["method"] = job["takeoff"]["cavities"][0]["fill_plan"]["method"]
        if number == 9:
            problem(api.send("POST", PATH, asked), 409)
        assert api.issue(job).status_code == 201
    adopted = api.send("POST", PATH, asked)
    assert adopted.status_code == 201, adopted.text
    (row,) = adopted.json["experience"]
    assert (row["jobs"], row["element"], row["method"]) == (10, "wall", asked["method"])
    assert row["lower_quartile"] <= row["median"] <= row["upper_quartile"]
    assert 0.8 < row["median"] < 1.2
