"""A day of a sales office through the API alone, each step's document looked at."""

import re
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask

from service.api.sheets import files
from service.api.sheets.xlsx_file import XLSX
from tests.api import PUBLIC, Api, small_building
from tests.service.documents.reading import text_of

FORM = {"Accept": "text/html", "Content-Type": "application/x-www-form-urlencoded"}


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: each step has its own tests on both."""
    return sqlite_url


class Office:
    """Somebody in sales who has nothing but the API."""

    def __init__(self, app: Flask) -> None:
        self.api = Api(app)

    def send(self, method: str, path: str, body: Any = None, **headers: str) -> Any:
        """What an answer says; it has to be a good one."""
        answer = self.api.send(method, path, body, role="sales", **headers)
        assert answer.status_code in (200, 201), answer.text
        return answer.json

    def post_file(self, content: bytes) -> Any:
        """A survey as a spreadsheet becomes a draft."""
        headers = {
            "Authorization": f"Bearer {self.api.key('sales')}",
            "Content-Type": XLSX,
            "Idempotency-Key": str(uuid4()),
        }
        answer = self.api.client.post("/v1/quotes", data=content, headers=headers)
        assert answer.status_code == 201, answer.text
        return answer.json

    def document(self, quote: Any) -> str:
        """The text of a quote's document."""
        path = f"/v1/quotes/{quote['id']}/document"
        return text_of(self.api.send("GET", path, role="sales").data)

    def link(self, quote: Any) -> str:
        """The path of a client's link to an offer."""
        url: str = self.send("POST", f"/v1/quotes/{quote['id']}/links", {"days": 10})["url"]
        return url.removeprefix(PUBLIC)

    def change(self, quote: Any, **changes: Any) -> Any:
        """A draft with something else said of it."""
        kept = self.send("GET", f"/v1/quotes/{quote['id']}/working")
        names = ("reference", "client", "site", "practice", "material", "currency", "language", "cavities")
        body = {**{name: kept[name] for name in names}, **changes}
        return self.send("PUT", f"/v1/quotes/{quote['id']}", body, If_Match=f'"{kept["version"]}"')


def test_from_a_call_to_an_order_and_the_months_end(app: Flask) -> None:
    office = Office(app)
    # A client calls: about how much?
    parts = [{"element": "wall", "area_m2": 60, "depth_mm": 360}]
    about = office.send("POST", "/v1/estimates", {"parts": parts})
    assert float(about["net"]["least"]) < float(about["net"]["most"])

    # The survey comes as a spreadsheet; a draft can be shown, and says that it is one.
    quote = office.post_file(files.written(small_building(reference="SO-Day"), XLSX))
    assert "Draft, not offered" in office.document(quote)

    # Another material, to look at beside it: the same reference is warned of, so it has its own.
    fine = office.send("POST", f"/v1/quotes/{quote['id']}/copies", {"reference": "SO-Day-B"})
    fine = office.change(fine, material="CF-FINE")
    assert (fine["warnings"], fine["total"] != quote["total"]) == ([], True)

    # Offered, then asked for less: a revision takes its place, under the same number.
    first = office.send("POST", f"/v1/quotes/{quote['id']}/offer")
    client = {
        **first["client"],
        "name": "Sample Building Ltd",
        "billing_address": "Post box 7",
        "tax_number": "XX123456789",
    }
    draft = office.send("POST", f"/v1/quotes/{first['number']}/revisions")
    draft = office.change(
        draft,
        client=client,
        discount={"percent": "4", "reason": "A regular client"},
        tax="reverse_charge",
        payments=[{"percent": "30", "due": "on order"}],
    )
    second = office.send("POST", f"/v1/quotes/{draft['id']}/offer")
    assert (second["number"], second["revision"]) == (first["number"], 2)
    assert Decimal(second["total"]) < Decimal(first["total"])
    printed = office.document(second)
    for words in (f"{first['number']}, revision 2", "A regular client", "Reverse charge", "30 % on order"):
        assert words in printed, words

    # The client opens his link and accepts; only the offer that stands.
    links = {each["id"]: each for each in (first, second)}
    urls = {
        quote_id: office.send("POST", f"/v1/quotes/{quote_id}/links", {"days": 10})["url"].removeprefix(
            PUBLIC
        )
        for quote_id in links
    }
    assert "Replaced on" in office.api.client.get(urls[first["id"]]).text
    page = office.api.client.get(urls[second["id"]]).text
    (digest,) = re.findall(r'name="document_sha256" value="([0-9a-f]{64})"', page)
    said = {"name": "Ada Sample", "document_sha256": digest}
    answer = office.api.client.post(f"{urls[second['id']]}/acceptance", data=said, headers=FORM)
    assert answer.status_code == 303
    assert "What happens next" in office.api.client.get(urls[second["id"]]).text
    ordered = office.send("GET", f"/v1/quotes/{first['number']}")
    assert (ordered["state"], ordered["acceptance"]["accepted_by"]) == ("accepted", "Ada Sample")

    # Found again by what somebody knows, and in the month's figures.
    (found,) = office.send("GET", "/v1/jobs?client=sample&reference=so-day")["items"]
    assert found["id"] == ordered["job_id"]
    today = datetime.now(UTC).date().isoformat()
    month = office.api.send("GET", f"/v1/summary?from={today}&to={today}").json
    assert {each["state"]: each["quotes"] for each in month["quotes"]} == {
        "accepted": 1,
        "draft": 1,
        "superseded": 1,
    }
    assert month["jobs"] == month["jobs_open"] == 1
