"""Client links: they open one thing, and nothing once they are altered, revoked or expired."""

import hashlib
import re
from datetime import timedelta
from uuid import uuid4

import pytest

from service.documents.wording.formats import Units
from service.usecases.keeping import checks
from tests.api import ACCEPTED, PUBLIC, Api, operator_of, problem

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("papers_plain")]

PEOPLE = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
PROGRAMS = ({"Accept": "application/json"}, {"Accept": "*/*"}, {})


def opened(api: Api, url: str) -> tuple[int, str]:
    """Status and text of a client's page, asked for without any key."""
    answer = api.client.get(url.removeprefix(PUBLIC))
    return answer.status_code, answer.text


def link(api: Api, path: str, days: int = 30) -> dict[str, str]:
    """A new link to what stands at `path`."""
    answer = api.send("POST", f"{path}/links", {"days": days}, role="sales")
    assert answer.status_code == 201, answer.text
    return answer.json


def test_a_link_opens_the_offer_and_its_document(api: Api) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    assert api.send("POST", f"{path}/links", {"days": 3}, role="sales").status_code == 409
    offer = api.send("POST", f"{path}/offer", role="sales").json
    url = link(api, path)["url"]
    status, text = opened(api, url)
    assert status == 200
    assert Units("eu").money(offer["total"], offer["currency"]) in text
    document = url.removeprefix(PUBLIC) + "/document"
    for_people = api.client.get(document, headers={"Accept": "text/html", "Accept-Language": "de"})
    assert (for_people.status_code, for_people.headers["Refresh"]) == (202, "1")
    assert "Das Dokument wird erstellt" in for_people.text
    assert api.client.get(document).json["state"] == "queued"
    api.wait()
    pdf = api.client.get(document)
    assert pdf.data == api.send("GET", f"{path}/document", role="sales").data


def test_a_link_opens_the_certificate_and_says_whether_it_stands(api: Api) -> None:
    issued = api.issue(api.worked()).json
    path = f"/v1/certificates/{issued['id']}"
    url = link(api, path)["url"]
    text = opened(api, url)[1]
    assert "In force" in text
    assert "Conforms" in text
    assert "<title>Density of " in text
    api.send("POST", f"{path}/withdrawal", {"reason": "a mistake"})
    status, text = opened(api, url)
    assert status == 200
    assert "Withdrawn" in text
    assert "a mistake" not in text
    assert "Conforms" not in text


@pytest.mark.both_databases
def test_links_in_force_are_found_again_but_not_what_opens_them(api: Api) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    assert api.send("GET", f"{path}/links", role="sales").json == {"items": []}
    api.send("POST", f"{path}/offer", role="sales")
    first, second = link(api, path, days=3), link(api, path)
    found = api.send("GET", f"{path}/links", role="office").json["items"]
    assert [each["id"] for each in found] == [first["id"], second["id"]]
    assert [each["expires_at"] for each in found] == [first["expires_at"], second["expires_at"]]
    assert all(set(each) == {"id", "created_at", "expires_at"} for each in found)
    api.send("DELETE", f"/v1/links/{found[0]['id']}", role="sales")
    assert [each["id"] for each in api.send("GET", f"{path}/links").json["items"]] == [second["id"]]
    assert Api(api.app, "other").send("GET", f"{path}/links", role="sales").status_code == 404


def test_links_to_a_certificate_are_found_again(api: Api) -> None:
    path = f"/v1/certificates/{api.issue(api.worked()).json['id']}"
    made = link(api, path)
    assert [each["id"] for each in api.send("GET", f"{path}/links").json["items"]] == [made["id"]]


def test_an_altered_or_revoked_link_opens_nothing(api: Api) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    api.send("POST", f"{path}/offer", role="sales")
    made = link(api, path)
    # Not the last letter: its lowest bits are padding and may say nothing.
    place = len(made["url"]) - 8
    letter = "A" if made["url"][place] != "A" else "B"
    altered = made["url"][:place] + letter + made["url"][place + 1 :]
    assert opened(api, altered)[0] == 404
    assert Api(api.app, "other").send("DELETE", f"/v1/links/{made['id']}", role="sales").status_code == 404
    assert api.send("DELETE", f"/v1/links/{made['id']}", role="sales").status_code == 204
    assert opened(api, made["url"])[0] == 404


def test_an_expired_link_opens_nothing(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    api.send("POST", f"{path}/offer", role="sales")
    url = link(api, path, days=2)["url"]
    assert opened(api, url)[0] == 200

    from service.api import auth

    class Later(auth.datetime):
        @classmethod
        def now(cls, tz=None):
            return super().now(tz) + timedelta(days=3)

    monkeypatch.setattr(auth, "datetime", Later)
    assert opened(api, url)[0] == 404


def closed(api: Api, url: str, status: int, words: str) -> None:
    """A link that opens nothing has a page for people and a problem for programs."""
    path = url.removeprefix(PUBLIC)
    page = api.client.get(path, headers=PEOPLE)
    assert page.status_code == status
    assert page.content_type == "text/html; charset=utf-8"
    assert words in page.text
    assert "style-src 'sha256-" in page.headers["Content-Security-Policy"]
    assert page.vary.as_set() == {"accept", "accept-language"}
    for accepted in PROGRAMS:
        answer = api.client.get(path, headers=accepted)
        problem(answer, status)
        assert answer.vary.as_set() == {"accept", "accept-language"}


@pytest.mark.parametrize("end", ["", "/document"])
def test_a_link_that_opens_nothing_has_a_page_for_people(api: Api, end: str) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    api.send("POST", f"{path}/offer", role="sales")
    made = link(api, path)
    assert api.send("DELETE", f"/v1/links/{made['id']}", role="sales").status_code == 204
    closed(api, f"{made['url']}{end}", 404, "This link opens nothing")
    closed(api, f"/clients/altered{end}", 404, "This link opens nothing")


def test_a_document_that_was_erased_has_a_page_for_people(api: Api) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    api.send("POST", f"{path}/offer", role="sales")
    url = link(api, path)["url"]
    api.send("POST", f"{path}/withdrawal")
    erasure = {"reason": "A trial"}
    assert api.send("POST", f"{path}/erasure", erasure, Idempotency_Key=str(uuid4())).status_code == 200
    closed(api, url, 410, "The document was erased")
    closed(api, f"{url}/document", 410, "The document was erased")


def test_whoever_has_a_key_gets_a_problem_whatever_he_accepts(api: Api) -> None:
    problem(api.send("DELETE", f"/v1/links/{uuid4()}", role="sales", **PEOPLE), 404)
    problem(api.send("POST", f"/v1/quotes/{uuid4()}/links", {"days": 1}, role="sales", **PEOPLE), 404)


FORM = {"Accept": PEOPLE["Accept"], "Content-Type": "application/x-www-form-urlencoded"}


def offered(api: Api) -> tuple[str, str]:
    """The path of an offer whose document is there, and that of its client's link."""
    path = f"/v1/quotes/{api.quote()['id']}"
    assert api.send("POST", f"{path}/offer", role="sales").status_code == 200
    api.wait()
    return path, link(api, path)["url"].removeprefix(PUBLIC)


def shown(api: Api, url: str) -> dict[str, str]:
    """What a client sends who read the page and types his name."""
    (digest,) = re.findall(r'name="document_sha256" value="([0-9a-f]{64})"', api.client.get(url).text)
    return {"name": "Ada Client", "document_sha256": digest}


def test_a_client_accepts_by_the_pages_form_and_is_told_what_happens_next(api: Api) -> None:
    path, url = offered(api)
    sent = shown(api, url)
    document = api.send("GET", f"{path}/document", role="sales").data
    assert sent["document_sha256"] == hashlib.sha256(document).hexdigest()
    answer = api.client.post(f"{url}/acceptance", data=sent, headers=FORM)
    assert (answer.status_code, answer.headers["Location"]) == (303, url)
    text = api.client.get(url).text
    assert "by Ada Client." in text
    assert "We call you to agree on the day" in text
    assert "<form" not in text
    quote = api.send("GET", path, role="sales").json
    assert quote["state"] == "accepted"
    assert quote["acceptance"] == {
        "by": "client",
        "accepted_by": "Ada Client",
        "how": None,
        "document_sha256": sent["document_sha256"],
        "option": None,
        "accepted_at": quote["accepted_at"],
    }


@pytest.mark.both_databases
def test_accepted_twice_it_is_one_job(api: Api) -> None:
    path, url = offered(api)
    sent = shown(api, url)
    first, second = (api.client.post(f"{url}/acceptance", json=sent) for _ in range(2))
    assert (first.status_code, second.status_code) == (201, 201)
    assert first.json == second.json
    quote = api.send("GET", path, role="sales").json
    job = api.send("GET", f"/v1/jobs/{quote['job_id']}").json
    assert job["quote_number"] == quote["number"]
    assert api.send("POST", f"{path}/acceptance", ACCEPTED).status_code == 409


def test_only_a_post_with_the_document_that_was_shown_accepts(api: Api) -> None:
    path, url = offered(api)
    sent = shown(api, url)
    for method in ("GET", "HEAD"):
        assert api.client.open(f"{url}/acceptance", method=method).status_code == 405
    assert api.client.post(f"{url}/acceptance", json={**sent, "document_sha256": "0" * 64}).status_code == 409
    assert problem(api.client.post(f"{url}/acceptance", json={**sent, "name": " "}), 422)["errors"]
    assert api.client.post(f"{url}/acceptance", json={**sent, "more": 1}).status_code == 422
    assert api.client.post(f"{url}/acceptance", data="name=a&name=b", headers=FORM).status_code == 422
    page = api.client.post(f"{url}/acceptance", data={**sent, "name": ""}, headers=FORM)
    assert page.status_code == 422
    assert "This was not done." in page.text
    assert api.send("GET", path, role="sales").json["state"] == "offered"


def test_what_was_withdrawn_or_revoked_is_not_accepted(api: Api) -> None:
    path, url = offered(api)
    sent = shown(api, url)
    assert api.send("POST", f"{path}/withdrawal").status_code == 200
    problem(api.client.post(f"{url}/acceptance", json=sent), 409)
    page = api.client.post(f"{url}/acceptance", data=sent, headers=FORM)
    assert page.status_code == 409
    assert "The quote is withdrawn and cannot be accepted." in page.text
    (found,) = api.send("GET", f"{path}/links").json["items"]
    assert api.send("DELETE", f"/v1/links/{found['id']}", role="sales").status_code == 204
    assert api.client.post(f"{url}/acceptance", json=sent).status_code == 404


def test_what_has_lapsed_is_not_accepted(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    path, _ = offered(api)
    url = link(api, path, days=60)["url"].removeprefix(PUBLIC)
    sent = shown(api, url)

    from service.api import auth

    class Later(auth.datetime):
        @classmethod
        def now(cls, tz=None):
            return super().now(tz) + timedelta(days=40)

    monkeypatch.setattr(auth, "datetime", Later)
    assert "Lapsed" in api.client.get(url).text
    problem(api.client.post(f"{url}/acceptance", json=sent), 409)


@pytest.mark.both_databases
def test_the_office_says_who_accepted_and_how_and_an_erasure_takes_it(api: Api) -> None:
    path, url = offered(api)
    assert api.send("POST", f"{path}/acceptance", {"accepted_by": "Ada Client"}).status_code == 422
    quote = api.send("POST", f"{path}/acceptance", ACCEPTED).json
    said = quote["acceptance"]
    assert {name: said[name] for name in ("by", *ACCEPTED)} == {"by": "office", **ACCEPTED}
    assert said["document_sha256"]
    assert api.send("POST", f"/v1/jobs/{quote['job_id']}/closure").status_code == 200
    erasure = {"reason": "A trial"}
    erased = api.send("POST", f"{path}/erasure", erasure, Idempotency_Key=str(uuid4())).json["acceptance"]
    assert (erased["accepted_by"], erased["how"]) == (None, None)
    assert erased["document_sha256"] == said["document_sha256"]
    closed(api, url, 410, "The document was erased")
    with operator_of(api.app) as database:
        assert checks.verify(database).faults == ()


def test_a_link_to_a_certificate_accepts_nothing(api: Api) -> None:
    path = f"/v1/certificates/{api.issue(api.worked()).json['id']}"
    url = link(api, path)["url"].removeprefix(PUBLIC)
    sent = {"name": "Ada Client", "document_sha256": "0" * 64}
    assert api.client.post(f"{url}/acceptance", json=sent).status_code == 404
