"""The crew's page over HTTP: for anybody, whole, and asked for anew without being sent again."""

import pytest

from service.documents.web import crew_page
from tests.api import Api, problem

pytestmark = pytest.mark.one_database


@pytest.mark.parametrize("name", sorted(crew_page.files()))
def test_every_file_is_sent_as_it_is_and_once(api: Api, name: str) -> None:
    path = "/crew/" if name == crew_page.FIRST else f"/crew/{name}"
    answer = api.client.get(path)
    assert answer.status_code == 200
    assert answer.data == crew_page.files()[name]
    assert answer.content_type == crew_page.kind(name)
    assert answer.headers["Content-Security-Policy"] == crew_page.POLICY
    again = api.client.get(path, headers={"If-None-Match": answer.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


@pytest.mark.parametrize("name", ["none.js", "..%2Fpages.py", "%2e%2e"])
def test_no_other_file_is(api: Api, name: str) -> None:
    problem(api.client.get(f"/crew/{name}"), 404)
