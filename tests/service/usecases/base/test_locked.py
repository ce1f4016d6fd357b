"""Answers that hold a link: locked where they are kept, given again as they were."""

from dataclasses import replace
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import Engine, select

from service.errors import Erased
from service.store.session import reading
from service.store.tables import answers
from service.usecases.base.locked import locked, unlocked
from tests.api import Api, problem

pytestmark = pytest.mark.usefixtures("papers_plain")

ANSWER = {"status": 201, "headers": [["Content-Type", "application/json"]], "body": '{"url": "https://x/ü"}'}
SECRET = "a secret for the tests only"


def test_what_was_locked_comes_back_as_it_was() -> None:
    kept = locked(ANSWER, SECRET)
    assert "https" not in str(kept)
    assert unlocked(kept, SECRET) == ANSWER
    assert unlocked(ANSWER, SECRET) == ANSWER
    assert locked(ANSWER, SECRET) != kept


def test_another_secret_key_opens_nothing() -> None:
    with pytest.raises(Erased):
        unlocked(locked(ANSWER, SECRET), "another secret of the tests")


@pytest.fixture(scope="module")
def certificate(app: Flask) -> str:
    api = Api(app)
    return str(api.issue(api.worked()).json["id"])


@pytest.mark.parametrize("what", ["client", "crew", "crew's renewal"])
def test_a_link_is_not_in_the_database_and_is_answered_again_byte_for_byte(
    api: Api, database: Engine, certificate: str, what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    crew = api.send("POST", "/v1/crews", {"name": f"Before {what}"}, Idempotency_Key=what).json["id"]
    path, body = {
        "client": (f"/v1/certificates/{certificate}/links", {"days": 30}),
        "crew": ("/v1/crews", {"name": "A crew"}),
        "crew's renewal": (f"/v1/crews/{crew}/link", None),
    }[what]

    def asked() -> Any:
        return api.send("POST", path, body, Idempotency_Key=f"a link of {what}")

    first = asked()
    assert first.status_code in (200, 201), first.text
    token = first.json["url"].rpartition("#" if "#" in first.json["url"] else "/")[2]
    with reading(database) as connection:
        kept = str(connection.execute(select(answers)).all())
    assert token not in kept
    again = asked()
    assert (again.status_code, again.data) == (first.status_code, first.data)
    others = replace(api.app.extensions["settings"], secret_key="another secret of the tests")
    monkeypatch.setitem(api.app.extensions, "settings", others)
    assert "another secret key" in problem(asked(), 410)["detail"]
