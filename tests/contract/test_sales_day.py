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

    def accept(self, path: str, digest: str, **said: str) -> None:
        """The client sends the form of his page."""
        body = {"name": "Ada Sample", "document_sha256": digest, **said}
        answer = self.api.client.post(f"{path}/acceptance", data=body, headers=FORM)
        assert answer.status_code == 303, answer.text

    def page(self, path: str) -> str:
        """What the client sees behind his link."""
        return self.api.client.get(path).text


WALL, ATTIC = small_building()["cavities"]
OPTIONS = [
    {"text": "The finer material", "material": "CF-FINE"},
    {"text": "Without the attic", "without": [ATTIC["label"]]},
]
COMPANY = {"name": "Sample Building Ltd", "billing_address": "Post box 7", "tax_number": "XX123456789"}


def digests(page: str) -> list[str]:
    """The documents that a page's forms accept."""
    found: list[str] = re.findall(r'name="document_sha256" value="([0-9a-f]{64})"', page)
    return found


def test_from_a_call_to_an_order_and_the_months_end(app: Flask) -> None:
    office = Office(app)
    # A client calls: about how much?
    parts = [{"element": "wall", "area_m2": 60, "depth_mm": 360}]
    about = office.send("POST", "/v1/estimates", {"parts": parts})
    assert float(about["net"]["least"]) < float(about["net"]["most"])

    # The survey comes as a spreadsheet; a draft can be shown, and says that it is one.
    quote = office.post_file(files.written(small_building(reference="SO-Day"), XLSX))
    assert "Draft, not offered" in office.document(quote)

    # Two other ways to do it, side by side in one offer, and on its first page.
    quote = office.change(quote, options=OPTIONS)
    prices = [each["price"]["total"] for each in quote["options"]]
    assert len({*prices}) == 3
    first = office.send("POST", f"/v1/quotes/{quote['id']}/offer")
    printed = office.document(first)
    for each in (*OPTIONS, {"text": "Choose one of these"}, {"text": "Which option is accepted"}):
        assert each["text"] in printed, each

    # Then asked for less: a revision takes its place, under the same number.
    draft = office.send("POST", f"/v1/quotes/{first['number']}/revisions")
    assert draft["options"] == first["options"]
    draft = office.change(
        draft,
        client={**first["client"], **COMPANY},
        options=OPTIONS,
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

    # The client opens his link, chooses and accepts; only the offer that stands.
    old, link = office.link(first), office.link(second)
    assert "Replaced on" in office.page(old)
    (digest,) = digests(office.page(link))
    office.accept(link, digest, option="2")
    assert "What happens next" in office.page(link)
    assert "Option 2, The finer material" in office.page(link)
    ordered = office.send("GET", f"/v1/quotes/{first['number']}")
    assert (ordered["state"], ordered["acceptance"]["accepted_by"]) == ("accepted", "Ada Sample")
    chosen = second["options"][1]
    assert (ordered["total"], ordered["material"]) == (chosen["price"]["total"], "CF-FINE")
    job = office.send("GET", f"/v1/jobs/{ordered['job_id']}")
    assert (job["material"], job["takeoff"]["mass_kg"]) == ("CF-FINE", chosen["mass_kg"])

    # On site there is a wall more: offered, looked at, and accepted on the same link.
    more = {**WALL, "label": "W-More", "width_m": 3.2, "openings": []}
    proposal = {"id": str(uuid4()), "by": "Crew 1", "cavities": [more]}
    at = f"/v1/jobs/{job['id']}/supplements"
    office.send("POST", at, proposal, Idempotency_Key=str(uuid4()))
    at = f"{at}/{proposal['id']}"
    offered = office.send("POST", f"{at}/offer", {})
    added = offered["price"]
    # At the unit prices of the option that was accepted.
    assert {line["code"]: line["unit_price"] for line in added["lines"]}["material"] == (
        {line["code"]: line["unit_price"] for line in chosen["price"]["lines"]}["material"]
    )
    paper = text_of(office.api.send("GET", f"{at}/document", role="sales").data)
    assert "W-More" in paper
    assert "Reverse charge" in paper
    (digest,) = digests(office.page(link))[:1]
    office.accept(f"{link}/supplements/{proposal['id']}", digest)
    job = office.send("GET", f"/v1/jobs/{ordered['job_id']}")
    assert [line["label"] for line in job["takeoff"]["cavities"]] == [WALL["label"], ATTIC["label"], "W-More"]

    # Found again by what somebody half knows, and in the month's figures.
    (found,) = office.send("GET", "/v1/jobs?client=samp*&reference=so-day")["items"]
    assert found["id"] == ordered["job_id"]
    today = datetime.now(UTC).date().isoformat()
    month = office.api.send("GET", f"/v1/summary?from={today}&to={today}").json
    sums = {each["state"]: (each["quotes"], each["total"]) for each in month["quotes"]}
    assert sums == {"accepted": (1, ordered["total"]), "superseded": (1, first["total"])}
    assert month["jobs"] == month["jobs_open"] == 1
