"""A survey comes as a spreadsheet, and what is wrong with it is said at its cells."""

from typing import Any

import pytest
from werkzeug.test import TestResponse

from service.api.sheets import files
from service.api.sheets.csv_file import CSV
from service.api.sheets.grid import letters
from service.api.sheets.xlsx_file import XLSX
from tests.api import Api, problem, small_building


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: the store's own tests have both."""
    return sqlite_url


def posted(api: Api, content: bytes, kind: str, path: str = "/v1/quotes", **headers: str) -> TestResponse:
    sent = {"Authorization": f"Bearer {api.key('sales')}", "Content-Type": kind, **headers}
    return api.client.post(path, data=content, headers=sent)


@pytest.mark.parametrize("kind", [CSV, XLSX])
def test_a_quote_is_taken_away_and_posted_again(api: Api, kind: str) -> None:
    quote = api.send("POST", "/v1/quotes", small_building(), role="sales").json
    path = f"/v1/quotes/{quote['id']}/survey"
    file = api.send("GET", path, role="sales", Accept=kind)
    assert file.content_type.startswith(kind)
    assert "attachment" in file.headers["Content-Disposition"]
    again = posted(api, file.data, kind, **{"Idempotency-Key": f"again-{kind}"})
    assert again.status_code == 201, again.text
    assert again.json["id"] != quote["id"]
    assert {name: again.json[name] for name in ("reference", "client", "site", "takeoff")} == {
        name: quote[name] for name in ("reference", "client", "site", "takeoff")
    }
    twice = posted(api, file.data, kind, **{"Idempotency-Key": f"again-{kind}"})
    assert twice.json["id"] == again.json["id"]
    assert posted(api, file.data, kind, "/v1/takeoffs").json == quote["takeoff"]


def test_a_survey_takes_the_place_of_a_draft(api: Api) -> None:
    """What was estimated on the telephone is surveyed, and the file of it is put in the draft's place."""
    head = {name: small_building()[name] for name in ("reference", "client", "site")}
    parts = [{"element": "wall", "area_m2": 120, "depth_mm": 360}]
    draft = api.send("POST", "/v1/estimates/drafts", {**head, "parts": parts}, role="sales")
    headers = {"Authorization": f"Bearer {api.key('sales')}", "Content-Type": CSV}
    survey = files.written(small_building(), CSV)
    path = draft.headers["Location"]
    put = api.client.put(path, data=survey, headers={**headers, "If-Match": draft.headers["ETag"]})
    assert put.status_code == 200, put.text
    assert api.send("POST", f"{path}/offer", role="sales").status_code == 200


def test_faults_are_at_their_cells_in_sheet_and_library_alike(api: Api) -> None:
    body: dict[str, Any] = small_building()
    text = files.written(body, CSV).decode()
    lines = text.splitlines()
    row = next(number for number, line in enumerate(lines, 1) if line.startswith("GF-N,"))
    column = next(line for line in lines if line.startswith("label,")).split(",").index("element")
    wrong = text.replace(lines[row - 1], lines[row - 1].replace(",wall,", ",door,"))
    (fault,) = problem(posted(api, wrong.encode(), CSV), 422)["errors"]
    assert fault["pointer"] == f"/Survey/{letters(column + 1)}{row}"
    assert "/cavities/0/element" in fault["detail"]
    thick = text.replace("\r\nB1,145.0,", "\r\nB1,-145.0,")
    (fault,) = problem(posted(api, thick.encode(), CSV), 422)["errors"]
    assert fault["pointer"].startswith("/Build-ups/B")
    assert "/cavities/0/layers/0/depth_mm" in fault["detail"]


def test_what_the_engine_finds_is_at_its_cell_too(api: Api) -> None:
    """An opening larger than its wall is found long after the file was read."""
    body: dict[str, Any] = small_building()
    body["cavities"][0] = {**body["cavities"][0], "openings": [{"width_m": 90, "height_m": 1.0}]}
    text = files.written(body, CSV).decode()
    answer = problem(posted(api, text.encode(), CSV), 422)
    row = next(number for number, line in enumerate(text.splitlines(), 1) if line.startswith("GF-N"))
    assert {each["pointer"].rstrip("0123456789") for each in answer["errors"]}
    assert all(each["pointer"].endswith(str(row)) for each in answer["errors"])
    # The sentence of the whole names the first of them.
    assert answer["detail"].startswith(answer["errors"][0]["pointer"])


def test_a_library_build_up_may_be_named_in_a_row(api: Api) -> None:
    text = (
        "decimal mark;comma\nQuote\nreference;SO-7\nclient name;Somebody\nsite address;Musterdorf\n"
        "site country;AT\npractice;eu\nmaterial;CF-STD\ncurrency;EUR\n\nSurvey\n"
        "label;element;width (cm);span (m);facing;build up\nW1;wall;940;2,65;membrane;EW-360\n"
    )
    answer = posted(api, text.encode(), CSV)
    assert answer.status_code == 201, answer.text
    assert answer.json["takeoff"]["cavities"][0]["depth_mm"] == 360
    unknown = posted(api, text.replace("EW-360", "EW-361").encode(), CSV)
    (fault,) = problem(unknown, 422)["errors"]
    assert fault["pointer"] == "/Survey/F13"


@pytest.mark.parametrize("kind", [CSV, XLSX])
def test_there_is_a_template(api: Api, kind: str) -> None:
    answer = api.send("GET", "/v1/survey-template", role="sales", Accept=kind)
    assert answer.status_code == 200
    assert files.read(answer.data, kind).body == {"cavities": []}


def test_what_is_no_survey_is_refused_and_elsewhere_no_file_is_taken(api: Api) -> None:
    problem(posted(api, b"PK", XLSX), 400)
    problem(posted(api, b"label,width\n", CSV), 422)
    problem(posted(api, b"decimal mark,point\n", CSV, "/v1/estimates"), 415)
