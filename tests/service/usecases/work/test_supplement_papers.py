"""There is no document of a supplement before it is offered."""

from uuid import uuid4

import pytest

from service.errors import NotKnown
from service.usecases.base.context import Context
from service.usecases.work import supplement_papers
from tests.api import Api, problem


def test_what_is_only_proposed_has_none(api: Api) -> None:
    path = f"/v1/jobs/{api.job()['id']}/supplements"
    said = {"id": str(uuid4()), "by": "Crew 1", "lines": [{"text": "Skip", "quantity": 1, "unit": "piece"}]}
    assert api.send("POST", path, said, Idempotency_Key=said["id"]).status_code == 201
    refused = problem(api.send("GET", f"{path}/{said['id']}/document"), 409)
    assert refused["code"] == "supplements.not_offered"


def test_of_an_offer_that_is_not_there_none_is_made(context: Context) -> None:
    with pytest.raises(NotKnown):
        supplement_papers.pdf(context, uuid4())
