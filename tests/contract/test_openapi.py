"""The OpenAPI document is valid and says what the service does."""

import json

from flask import Flask
from openapi_spec_validator import OpenAPIV31SpecValidator

from tests.api import Api, small_building


class Rounded:
    """Equal to the same JSON with its figures rounded for people."""

    def __init__(self, exact: object) -> None:
        self.exact = exact

    def __eq__(self, shown: object) -> bool:
        match self.exact:
            case dict():
                return isinstance(shown, dict) and shown == {k: Rounded(v) for k, v in self.exact.items()}
            case list():
                return isinstance(shown, list) and shown == [Rounded(each) for each in self.exact]
            case float():
                return shown == float(f"{self.exact:.6g}")
        return shown == self.exact


def test_the_document_is_valid_openapi(app: Flask) -> None:
    document = app.test_client().get("/openapi.json").json
    assert document["openapi"].startswith("3.1")
    OpenAPIV31SpecValidator(document).validate()


def test_errors_are_problems_in_the_document(app: Flask) -> None:
    document = app.test_client().get("/openapi.json").json
    for response in document["components"]["responses"].values():
        assert list(response["content"]) == ["application/problem+json"]


def test_nothing_is_lost_between_the_engine_and_the_answer(api: Api) -> None:
    body = {k: v for k, v in small_building().items() if k not in ("reference", "client")}
    with api.app.test_request_context():
        from service.usecases.work import takeoffs

        seen: dict[str, object] = {}
        original = takeoffs.work_out
        try:
            takeoffs.work_out = lambda *args: seen.setdefault("found", original(*args))
            answer = api.send("POST", "/v1/takeoffs", body, role="sales").json
        finally:
            takeoffs.work_out = original
    from service.usecases.base.json import to_json

    assert answer == Rounded(json.loads(json.dumps(to_json(seen["found"]))))
