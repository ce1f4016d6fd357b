"""The language of a job's documents is chosen with the quote, and goes through to the certificate."""

import json
from io import BytesIO

import pytest
from pypdf import PdfReader

from tests.api import Api, problem, small_building


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database is enough: what is printed does not depend on it."""
    return sqlite_url


def language_of(pdf: bytes) -> str:
    return str(PdfReader(BytesIO(pdf)).trailer["/Root"]["/Lang"])


def test_english_is_what_nobody_asked_for(api: Api) -> None:
    quote = api.quote()
    assert quote["language"] == "en"
    api.send("POST", f"/v1/quotes/{quote['id']}/offer", role="sales")
    assert language_of(api.send("GET", f"/v1/quotes/{quote['id']}/document", role="sales").data) == "en"


def test_german_documents_from_the_quote_to_the_certificate(api: Api) -> None:
    job = api.worked(small_building(language="de"))
    issued = api.issue(job)
    assert issued.status_code == 201, issued.text
    paths = (
        f"/v1/quotes/{job['quote_id']}/document",
        f"/v1/jobs/{job['id']}/document",
        f"/v1/certificates/{issued.json['id']}/document",
    )
    files = [api.send("GET", path).data for path in paths]
    assert [language_of(file) for file in files] == ["de", "de", "de"]
    record = json.loads(PdfReader(BytesIO(files[2])).attachments["record.json"][0])
    assert record["language"] == "de"


def test_a_language_without_a_catalogue_is_refused(api: Api) -> None:
    answer = api.send("POST", "/v1/quotes", small_building(language="xx"), role="sales")
    assert [each["pointer"] for each in problem(answer, 422)["errors"]] == ["/language"]
