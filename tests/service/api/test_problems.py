"""One shape for every error, the framework's own included."""

import pytest

from tests.api import Api, problem, small_building

pytestmark = pytest.mark.one_database


def test_an_unknown_path_is_a_problem(api: Api) -> None:
    problem(api.send("GET", "/v1/nowhere"), 404)


def test_a_wrong_method_is_a_problem_and_names_the_right_ones(api: Api) -> None:
    answer = api.send("DELETE", "/v1/quotes")
    assert problem(answer, 405)["values"] == {"method": "DELETE"}
    assert {"GET", "POST"} <= set(answer.headers["Allow"].split(", "))


def test_the_frameworks_own_errors_have_a_code_and_are_told_in_german(api: Api) -> None:
    """Its words were English whoever asked, and spoke of a URL that is typed by hand."""
    for method, path, code, words in (
        ("GET", "/v1/nowhere", "api.nothing_here", "Unter dieser Adresse"),
        ("DELETE", "/v1/quotes", "api.another_method", "nimmt DELETE nicht an"),
    ):
        answer = api.send(method, path, Accept_Language="de").json
        assert answer["code"] == code
        assert words in answer["detail"]


def test_a_wrong_media_type_is_a_problem(api: Api) -> None:
    headers = {"Authorization": f"Bearer {api.key('sales')}", "Content-Type": "text/plain"}
    taken = problem(api.client.post("/v1/quotes", data="{}", headers=headers), 415)["values"]["kinds"]
    assert {"application/json", "text/csv"} <= set(taken)


def test_a_large_body_is_a_problem(api: Api) -> None:
    headers = {"Authorization": f"Bearer {api.key('sales')}", "Content-Type": "application/json"}
    body = b'{"reference": "' + b"x" * 5_000_000 + b'"}'
    refused = problem(api.client.post("/v1/quotes", data=body, headers=headers), 413)
    assert refused["values"] == {"most": api.app.extensions["settings"].body_limit_bytes}


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b'{"a": NaN}',
        b'{"a": -Infinity}',
        b'{"a": 1e400}',
        b'{"a": 1, "a": 2}',
        b'{"a": 123456789012345678901234567890}',
        b"[" * 100_000,
        b'"\xff"',
        b'{"a": "\\ud800"}',
        b'{"a": "\\u0000"}',
        b'{"a": ' + b"[" * 20 + b"]" * 20 + b"}",
    ],
    ids=lambda body: repr(body[:24]),
)
def test_a_body_that_is_not_json_is_a_problem(api: Api, body: bytes) -> None:
    headers = {"Authorization": f"Bearer {api.key('sales')}", "Content-Type": "application/json"}
    problem(api.client.post("/v1/quotes", data=body, headers=headers), 400)


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"reference": None}, "/reference"),
        ({"unknown": 1}, "/unknown"),
        ({"travel_km": "38"}, "/travel_km"),
        ({"travel_km": True}, "/travel_km"),
        ({"travel_km": -1}, "/travel_km"),
        ({"currency": "eur"}, "/currency"),
        ({"currency": "XXX"}, "/currency"),
        ({"material": "NONE"}, "/material"),
        ({"practice": "none"}, "/practice"),
        ({"cavities": []}, "/cavities"),
        ({"priced_on": "yesterday"}, "/priced_on"),
        ({"extras": [{"code": "none", "quantity": 1}]}, "/extras/0/code"),
        ({"reference": "a\u202eb"}, "/reference"),
    ],
    ids=str,
)
def test_bad_input_names_its_field(api: Api, change: dict[str, object], pointer: str) -> None:
    body = problem(api.send("POST", "/v1/quotes", small_building(**change), role="sales"), 422)
    assert pointer in [error["pointer"] for error in body["errors"]]


def test_a_deep_fault_is_pointed_at(api: Api) -> None:
    body = small_building()
    wall = body["cavities"][0]
    layers = [{**wall["layers"][0], "depth_mm": -5}, *wall["layers"][1:]]
    answer = api.send("POST", "/v1/quotes", {**body, "cavities": [{**wall, "layers": layers}]}, role="sales")
    assert problem(answer, 422)["errors"][0]["pointer"] == "/cavities/0/layers/0/depth_mm"


def test_an_unexpected_error_says_nothing_of_itself(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("the secret is 1234")

    monkeypatch.setattr("service.usecases.work.quotes.quotes.short_by_id", fail)
    monkeypatch.setattr("service.api.problems.log.error", lambda *a, **k: None)
    answer = api.send("GET", "/v1/quotes/0197f000-0000-7000-8000-000000000000", role="sales")
    assert "1234" not in answer.text
    assert answer.headers["X-Request-Id"] in problem(answer, 500)["detail"]


def test_a_sane_request_id_is_taken_over_and_another_is_not(api: Api) -> None:
    assert api.send("GET", "/healthz", X_Request_Id="call-12345").headers["X-Request-Id"] == "call-12345"
    assert api.send("GET", "/healthz", X_Request_Id="a b<c>").headers["X-Request-Id"] != "a b<c>"
