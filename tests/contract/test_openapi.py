"""The OpenAPI document is valid and says what the service does."""

from flask import Flask
from openapi_spec_validator import OpenAPIV31SpecValidator

from schemas.takeoffs import Takeoff
from tests.api import Api, small_building


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

    assert answer == to_json(seen["found"])
    assert set(Takeoff().fields) == set(answer)
