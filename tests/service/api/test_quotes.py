"""Quotes through the API."""

from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest

from tests.api import ACCEPTED, Api, small_building
from tests.service.documents.reading import text_of

pytestmark = pytest.mark.one_database


@pytest.mark.both_databases
def test_a_building_becomes_a_priced_draft(api: Api) -> None:
    quote = api.quote()
    assert quote["state"] == "draft"
    assert quote["number"] is None
    price = quote["takeoff"]["price"]
    assert quote["total"] == price["total"]
    assert [c["label"] for c in quote["takeoff"]["cavities"]] == [c["label"] for c in quote["cavities"]]


@pytest.mark.both_databases
def test_a_draft_is_read_back_as_it_was_answered(api: Api) -> None:
    made = api.send("POST", "/v1/quotes", small_building(), role="sales")
    quote = api.send("GET", f"{made.headers['Location']}/working", role="sales").json
    for path, answered in (("", None), ("/working", quote)):
        answer = api.send("GET", f"/v1/quotes/{quote['id']}{path}", role="sales")
        assert answer.json == (answered or made.json)
        assert answer.headers["ETag"].startswith('"1-')


def test_a_change_needs_the_version_that_was_seen(api: Api) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    other = small_building(reference="another")
    assert api.send("PUT", path, other, role="sales").status_code == 428
    changed = api.send("PUT", path, other, role="sales", If_Match='"1"')
    assert changed.status_code == 200
    assert changed.json["reference"] == "another"
    assert changed.headers["ETag"].startswith('"2-')
    assert api.send("PUT", path, other, role="sales", If_Match='"1"').status_code == 412


def test_an_offer_is_frozen(api: Api) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    offer = api.send("POST", f"{path}/offer", role="sales").json
    assert offer["state"] == "offered"
    assert offer["number"].startswith("Q-")
    refused = api.send("PUT", path, small_building(), role="sales", If_Match='"2"')
    assert refused.status_code == 409
    assert api.send("GET", path, role="sales").json["total"] == offer["total"]


def test_an_acceptance_makes_one_job(api: Api) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    assert api.send("POST", f"{path}/acceptance", ACCEPTED, role="sales").status_code == 409
    api.send("POST", f"{path}/offer", role="sales")
    accepted = api.send("POST", f"{path}/acceptance", ACCEPTED, role="sales")
    assert accepted.status_code == 201
    assert accepted.headers["Location"] == f"/v1/jobs/{accepted.json['job_id']}"
    assert api.send("POST", f"{path}/acceptance", ACCEPTED, role="sales").status_code == 409


@pytest.mark.both_databases
def test_an_impossible_geometry_names_its_field_and_stores_nothing(api: Api) -> None:
    before = api.send("GET", "/v1/quotes?limit=200", role="sales").json
    body = small_building()
    wall = {**body["cavities"][0], "openings": [{"width_m": 50.0, "height_m": 2.0}]}
    answer = api.send("POST", "/v1/quotes", {**body, "cavities": [wall]}, role="sales")
    assert answer.status_code == 422
    assert answer.content_type == "application/problem+json"
    assert answer.json["errors"][0]["pointer"].startswith("/cavities/0/openings")
    assert api.send("GET", "/v1/quotes?limit=200", role="sales").json == before


@pytest.mark.both_databases
def test_pages_follow_one_another(api: Api) -> None:
    made = [api.quote()["id"] for _ in range(3)]
    first = api.send("GET", "/v1/quotes?limit=2", role="sales")
    assert [quote["id"] for quote in first.json["items"]] == made[:0:-1]
    assert 'rel="next"' in first.headers["Link"]
    path = first.headers["Link"].split(">")[0].lstrip("<")
    assert api.send("GET", path, role="sales").json["items"][0]["id"] == made[0]


def test_a_draft_has_a_document_that_says_it_is_one_and_is_kept_nowhere(api: Api) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    draft = api.send("GET", f"{path}/document", role="sales")
    assert draft.content_type == "application/pdf"
    assert "Draft, not offered" in text_of(draft.data)
    assert "A draft binds nobody" in text_of(draft.data)
    api.send("POST", f"{path}/offer", role="sales")
    offer = api.send("GET", f"{path}/document", role="sales")
    assert "Draft" not in text_of(offer.data)


@pytest.mark.both_databases
def test_a_quote_and_its_job_are_found_by_what_an_office_knows(api: Api) -> None:
    client = {"name": "Ada Findling", "email": "ada@findling.example"}
    site = {**small_building()["site"], "address": "Uhuweg 7, 4020 Findlingen"}
    quote = api.quote(small_building(reference="SO-Find", client=client, site=site))
    path = f"/v1/quotes/{quote['id']}"
    api.send("POST", f"{path}/offer", role="sales")
    job = api.send("POST", f"{path}/acceptance", ACCEPTED, role="sales").json["job_id"]
    label = quote["cavities"][0]["label"]
    for asked in (
        "reference=so-find",
        "client=findling+ada",
        "client=ADA@findling.example",
        "client=find*+ad*",
        "place=uhu*&reference=SO-F*",
        "place=findlingen+uhuweg",
        f"client=findling&build_up={label}&from=2020-01-01&to=2100-01-01",
    ):
        for of, wanted in (("quotes", quote["id"]), ("jobs", job)):
            found = api.send("GET", f"/v1/{of}?{asked}").json["items"]
            assert [each["id"] for each in found] == [wanted], (of, asked)
    for asked in ("client=find", "place=findlingen&to=2020-01-01", "client=findling&reference=SO-1"):
        assert api.send("GET", f"/v1/quotes?{asked}").json["items"] == []
    stranger = Api(api.app, firm="other")
    assert stranger.send("GET", "/v1/quotes?client=findling").json["items"] == []


@pytest.mark.both_databases
def test_the_same_reference_twice_warns(api: Api) -> None:
    first, second = (api.send("POST", "/v1/quotes", small_building(reference="SO-2")).json for _ in range(2))
    assert first["warnings"] == []
    (warning,) = second["warnings"]
    assert warning["code"] == "quotes.reference_again"
    assert warning["values"]["others"] == [first["id"]]
    assert first["id"] in warning["text"]


OFFICE = {
    "lines": [{"text": "Remove the old boards", "quantity": 4, "unit": "h", "unit_price": "52.00"}],
    "discount": {"percent": "5", "reason": "Two houses at once"},
    "tax": "reverse_charge",
    "payments": [{"percent": "30", "due": "on order"}, {"percent": "70", "due": "when it is done"}],
    "notes": ["The scaffold is yours."],
    "starts_on": "2027-01-11",
    "valid_days": 10,
    "price_list": "EUR-2026-10",
    "client": {
        "name": "Sample Building Ltd",
        "billing_address": "Post box 7, 0000 Musterdorf",
        "tax_number": "XX123456789",
    },
}


def test_what_an_office_writes_is_priced_printed_and_answered(api: Api) -> None:
    quote = api.quote(small_building(**OFFICE))
    price = quote["takeoff"]["price"]
    lines = sum(Decimal(line["amount"]) for line in price["lines"])
    off = {each["code"]: Decimal(each["amount"]) for each in price["allowances"]}
    assert [line["amount"] for line in price["lines"] if line["code"] == "free"] == ["208.00"]
    assert off["discount"] == (lines * 5 / 100).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert Decimal(price["net"]) == lines - sum(off.values())
    assert (price["tax"], price["tax_category"], price["total"]) == ("0.00", "AE", price["net"])
    assert sum(Decimal(each["amount"]) for each in price["payments"]) == Decimal(price["total"])
    answered = {name: quote[name] for name in OFFICE}
    assert answered == OFFICE
    path = f"/v1/quotes/{quote['id']}"
    offer = api.send("POST", f"{path}/offer", role="sales").json
    days = date.fromisoformat(offer["valid_until"]) - datetime.fromisoformat(offer["offered_at"]).date()
    assert days.days == 10
    printed = text_of(api.send("GET", f"{path}/document", role="sales").data)
    for words in (
        "Remove the old boards",
        "Two houses at once",
        "Reverse charge: the tax is owed",
        "30 % on order",
        "The scaffold is yours.",
        "to begin on 11 January 2027",
        "Post box 7",
        "XX123456789",
    ):
        assert words in printed, words


@pytest.mark.parametrize("display", ["lump", "per_m2"])
def test_the_work_can_be_printed_as_one(api: Api, display: str) -> None:
    quote = api.quote(small_building(display=display, lines=OFFICE["lines"]))
    printed = text_of(api.send("GET", f"/v1/quotes/{quote['id']}/document", role="sales").data)
    assert "All work on the parts" in printed
    assert "Remove the old boards" in printed
    assert "Set-up" not in printed
    assert ("about" in printed.partition("All work on the parts")[2][:80]) == (display == "per_m2")


@pytest.mark.parametrize(
    ("said", "pointer"),
    [
        ({"tax": "half"}, "/tax"),
        ({"price_list": "EUR-1999"}, "/price_list"),
        ({"discount": {"amount": "9999999.00"}}, "/discount/amount"),
        ({"payments": [{"percent": "60", "due": "a"}, {"percent": "60", "due": "b"}]}, "/payments"),
    ],
)
def test_what_cannot_be_sold_so_names_its_field(api: Api, said: Any, pointer: str) -> None:
    answer = api.send("POST", "/v1/quotes", small_building(**said), role="sales")
    assert [each["pointer"] for each in answer.json["errors"]] == [pointer]


def test_what_an_office_writes_is_taken_away_as_a_file_and_posted_again(api: Api) -> None:
    quote = api.quote(small_building(**OFFICE))
    file = api.send("GET", f"/v1/quotes/{quote['id']}/survey", role="sales", Accept="text/csv")
    sent = {"Authorization": f"Bearer {api.key('sales')}", "Content-Type": "text/csv"}
    again = api.client.post("/v1/quotes", data=file.data, headers=sent)
    assert again.status_code == 201, again.text
    assert {name: again.json[name] for name in (*OFFICE, "total")} == {
        name: quote[name] for name in (*OFFICE, "total")
    }
