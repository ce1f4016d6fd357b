"""Options of one offer: priced side by side, one of them accepted, and what follows is of that one."""

from typing import Any
from uuid import uuid4

import pytest

from service.usecases.keeping import checks
from tests.api import ACCEPTED, Api, operator_of, problem, small_building
from tests.service.documents.reading import text_of

WALL, ATTIC = small_building()["cavities"]
THINNER = [{**layer, "depth_mm": 100} if "framing" not in layer else layer for layer in WALL["layers"]]
OPTIONS: list[Any] = [
    {"text": "Without the attic", "without": [ATTIC["label"]]},
    {
        "text": "A thinner wall and a second attic",
        "cavities": [{"label": WALL["label"], "layers": THINNER}, {**ATTIC, "label": "A-2"}],
    },
]


def step(api: Api, quote: Any, name: str, body: Any = None) -> Any:
    """The quote after a step."""
    answer = api.send("POST", f"/v1/quotes/{quote['id']}/{name}", body, role="sales")
    assert answer.status_code in (200, 201), answer.text
    return answer.json


@pytest.fixture(scope="module")
def offer(app: Any) -> tuple[Api, Any]:
    """An offer of three options."""
    api = Api(app)
    return api, step(api, api.quote(small_building(options=OPTIONS)), "offer")


def test_they_are_priced_side_by_side(offer: tuple[Api, Any]) -> None:
    api, quote = offer
    a, b, c = quote["options"]
    assert [each["option"] for each in (a, b, c)] == ["1", "2", "3"]
    assert (a["text"], a["cavities"], a["without"], a["more"]) == (None, [], [], "0.00")
    assert (b["cavities"], b["without"]) == ([], [ATTIC["label"]])
    assert [line["label"] for line in c["cavities"]] == [WALL["label"], "A-2"]
    alone = api.quote(small_building(cavities=[WALL]))
    assert b["price"] == alone["takeoff"]["price"]
    assert a["price"] == quote["takeoff"]["price"]
    assert quote["total"] == a["price"]["total"]
    assert float(b["more"]) == pytest.approx(float(b["price"]["total"]) - float(a["price"]["total"]))
    path = f"/v1/quotes/{quote['id']}/working?option=3"
    assert [each["label"] for each in api.send("GET", path).json["cavities"]] == [
        *(WALL["label"], ATTIC["label"], "A-2")
    ]


def test_the_paper_says_which_is_which(offer: tuple[Api, Any]) -> None:
    api, quote = offer
    pdf = api.send("GET", f"/v1/quotes/{quote['id']}/document", role="sales").data
    first = text_of(pdf)
    assert "Choose one of these" in first
    for each in OPTIONS:
        assert each["text"] in first


def test_a_revision_and_a_copy_keep_them(offer: tuple[Api, Any]) -> None:
    api, quote = offer
    for again in (step(api, quote, "copies", {"reference": "Again"}), step(api, quote, "revisions")):
        assert again["options"] == quote["options"]


def test_one_is_accepted_and_the_job_is_of_that_one(offer: tuple[Api, Any]) -> None:
    api, quote = offer
    path = f"/v1/quotes/{quote['id']}"
    for said in (ACCEPTED, {**ACCEPTED, "option": "4"}):
        refused = problem(api.send("POST", f"{path}/acceptance", said, role="sales"), 422)
        assert [each["pointer"] for each in refused["errors"]] == ["/option"]
    accepted = step(api, quote, "acceptance", {**ACCEPTED, "option": "3"})
    chosen = next(each for each in accepted["options"] if each["accepted"])
    assert (chosen["option"], accepted["acceptance"]["option"]) == ("3", "3")
    assert accepted["total"] == accepted["takeoff"]["price"]["total"] == chosen["price"]["total"]
    job = api.send("GET", f"/v1/jobs/{accepted['job_id']}").json
    assert [line["label"] for line in job["takeoff"]["cavities"]] == [WALL["label"], ATTIC["label"], "A-2"]
    assert job["takeoff"]["mass_kg"] == chosen["mass_kg"]
    sheet = text_of(api.send("GET", f"/v1/jobs/{accepted['job_id']}/document").data)
    assert "A-2" in sheet
    (listed,) = api.send("GET", f"/v1/quotes?number={quote['number']}").json["items"]
    assert listed["total"] == chosen["price"]["total"]
    with operator_of(api.app) as database:
        assert checks.verify(database).faults == ()


@pytest.mark.parametrize(
    ("option", "pointer"),
    [
        ({"text": "Nothing else"}, "/options/0"),
        ({"text": "No such part", "without": ["Nowhere"]}, "/options/0/without/0"),
        ({"text": "Nothing left", "without": [WALL["label"], ATTIC["label"]]}, "/options/0/without"),
        (
            {"text": "Out and in", "without": [WALL["label"]], "cavities": [{"label": WALL["label"]}]},
            "/options/0/without/0",
        ),
        ({"text": "Another material", "material": "CF-NONE"}, "/options/0/material"),
        ({"text": "A new part by half", "cavities": [{"label": "N"}]}, "/options/0/cavities/0/element"),
        (
            {"text": "Too dense", "cavities": [{"label": WALL["label"], "target_kg_m3": 190}]},
            "/options/0/cavities/0/target_kg_m3",
        ),
    ],
)
def test_what_is_no_option_is_refused_where_it_is_said(api: Api, option: Any, pointer: str) -> None:
    answer = api.send("POST", "/v1/quotes", small_building(options=[option]), role="sales")
    assert next(each["pointer"] for each in problem(answer, 422)["errors"]) == pointer


def test_a_client_chooses_on_his_page(api: Api) -> None:
    quote = step(api, api.quote(small_building(options=OPTIONS)), "offer")
    api.send("GET", f"/v1/quotes/{quote['id']}/document", role="sales")
    link = api.send("POST", f"/v1/quotes/{quote['id']}/links", {"days": 3}, Idempotency_Key=str(uuid4())).json
    path = link["url"].partition("//")[2].partition("/")[2]
    page = api.client.get(f"/{path}", headers={"Accept": "text/html"}).text
    assert page.count('type="radio"') == 3
    digest = page.partition('name="document_sha256" value="')[2][:64]
    form = {"name": "Ada", "document_sha256": digest}
    send = {"Accept": "text/html"}
    refused = api.client.post(f"/{path}/acceptance", data=form, headers=send)
    assert refused.status_code == 422
    assert "Choose one of the options" in refused.text
    assert (
        api.client.post(f"/{path}/acceptance", data={**form, "option": "2"}, headers=send).status_code == 303
    )
    assert "Option 2, Without the attic" in api.client.get(f"/{path}", headers=send).text
    # The same again is the same; another choice is not made by sending it once more.
    for option, status in (("2", 303), ("3", 409)):
        again = api.client.post(f"/{path}/acceptance", data={**form, "option": option}, headers=send)
        assert again.status_code == status
    accepted = api.send("GET", f"/v1/quotes/{quote['id']}").json
    assert [line["label"] for line in accepted["takeoff"]["cavities"]] == [WALL["label"]]
