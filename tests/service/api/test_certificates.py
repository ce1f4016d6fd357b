"""Certificates by part: issued by the preview that was seen, superseded, withdrawn, moved on from."""

import base64
import hashlib
import re
from typing import Any
from uuid import UUID, uuid4

import pytest

from service.store import jobs
from service.store.session import reading
from service.usecases.keeping import checks
from service.usecases.work.states import state_of
from tests.api import SIGNATORY, Api, day_of, operator_of, problem
from tests.calls import calls
from tests.service.documents.reading import text_of

pytestmark = pytest.mark.one_database

LATER = "2026-11-25T18:00:00Z"
PROGRAMS = {"Accept": "application/json"}


def filled(api: Api, *, first_only: bool = False, counted: bool = True) -> tuple[Any, list[str]]:
    """A job whose crew has done its first part, or all of it, what was left over counted or not."""
    job = api.job()
    before, *cavities, after = day_of(job)
    # Safety points hold up each certificate, those after work too; and so does spill that nobody told of.
    last = [each for each in after if each["kind"] in ("check", "checks", "reclaimed")]
    batches = [before, cavities[0], last] if first_only else [before, *cavities, after]
    for batch in batches:
        kept = [each for each in batch if counted or "left_over" not in each]
        answer = api.record(job, kept)
        assert answer.status_code == 201, answer.text
    return job, [cavity["label"] for cavity in job["cavities"]]


def left_over(job: Any) -> list[dict[str, Any]]:
    """What was left over in the end."""
    return [{**each, "id": str(uuid4())} for each in day_of(job)[-1] if "left_over" in each]


def state(api: Api, job: Any) -> tuple[str, bool]:
    """A job's state, and whether its ledger has moved on."""
    shown = api.send("GET", f"/v1/jobs/{job['id']}").json
    return shown["state"], shown["ledger_moved_on"]


def said_of(label: str) -> dict[str, Any]:
    """One more entry of a part."""
    said = {"kind": "note", "id": str(uuid4()), "happened_at": LATER, "by": "Demo crew"}
    return {**said, "cavity": label, "remark": "The membrane was torn by the electrician, and taped."}


def test_a_part_is_certified_before_the_others_are_filled(api: Api) -> None:
    job, (wall, attic) = filled(api, first_only=True)
    whole = problem(api.issue(job), 409)
    assert {(each["code"], each["cavity"]) for each in whole["conditions"]} >= {("fill_missing", attic)}
    issued = api.issue(job, wall)
    assert issued.status_code == 201, issued.text
    assert issued.json["outcome"] == {
        "parts": [{"cavity": wall, "verdict": "conforming"}],
        "not_part": [{"cavity": attic, "element": "attic", "filled": False}],
        "concessions": [],
    }
    assert state(api, job) == ("open", False)
    text = text_of(api.send("GET", f"/v1/certificates/{issued.json['id']}/document").data)
    assert re.search(rf"Not filled, and not part of this certificate:\s+{attic}", text)
    preview = api.preview(job, wall).json["record"]
    assert [part["cavity"]["label"] for part in preview["parts"]] == [wall]
    assert preview["stock"] == []


def test_an_unfilled_part_is_never_certified(api: Api) -> None:
    job, (_wall, attic) = filled(api, first_only=True)
    grant = {"condition": "fill_missing", "cavity": attic, "reason": "It is cold.", "granted_by": "Office"}
    problem(api.send("POST", f"/v1/jobs/{job['id']}/concessions", grant), 409)
    refused = problem(api.issue(job, attic), 409)
    assert "fill_missing" in {each["code"] for each in refused["conditions"]}
    seen = api.preview(job, attic).json
    assert (seen["ready"], seen["record"]["parts"]) == (False, [])


def test_stock_and_after_work_points_wait_for_the_certificate_that_completes_the_job(api: Api) -> None:
    job, (wall, attic) = filled(api, counted=False)
    assert api.issue(job, wall).status_code == 201
    completing = problem(api.issue(job, attic), 409)
    assert {each["code"] for each in completing["conditions"]} == {"stock_unreconciled"}
    assert api.record(job, left_over(job)).status_code == 201
    second = api.issue(job, attic)
    assert second.status_code == 201, second.text
    # Stock is of no part: the first certificate still says all.
    assert state(api, job) == ("certified", False)


@pytest.mark.both_databases
def test_what_contains_all_supersedes_and_a_partial_overlap_is_refused(api: Api, database: Any) -> None:
    job, (wall, attic) = filled(api)
    parts = [api.issue(job, label).json for label in (wall, attic)]
    both = api.issue(job).json
    listed = api.send("GET", f"/v1/jobs/{job['id']}/certificates").json["items"]
    assert [(each["state"], each["superseded_by"]) for each in listed] == [
        ("superseded", both["number"]),
        ("superseded", both["number"]),
        ("in_force", None),
    ]
    overlap = problem(api.issue(job, wall), 409)
    assert both["number"] in overlap["detail"]
    assert attic in overlap["detail"]
    assert state(api, job) == ("certified", False)
    withdrawal = {"reason": "The wrong house."}
    assert api.send("POST", f"/v1/certificates/{both['id']}/withdrawal", withdrawal).status_code == 200
    assert state(api, job) == ("open", False)
    again = api.issue(job, wall)
    assert again.status_code == 201
    assert api.send("GET", f"/v1/certificates/{parts[0]['id']}").json["superseded_by"] == both["number"]
    assert checks.verify(database).faults == ()


def test_a_withdrawal_takes_its_own_parts_alone(api: Api) -> None:
    job, (wall, attic) = filled(api)
    of_wall, of_attic = (api.issue(job, label).json for label in (wall, attic))
    assert state(api, job) == ("certified", False)
    path = f"/v1/certificates/{of_wall['id']}/withdrawal"
    assert api.send("POST", path, {"reason": "Read wrongly."}).status_code == 200
    assert state(api, job) == ("open", False)
    assert api.send("GET", f"/v1/certificates/{of_attic['id']}").json["state"] == "in_force"


def test_an_entry_of_a_part_moves_the_ledger_on_until_the_next_certificate(api: Api) -> None:
    job, (wall, attic) = filled(api)
    of_wall, of_attic = (api.issue(job, label).json for label in (wall, attic))
    link = api.send("POST", f"/v1/certificates/{of_wall['id']}/links", {"days": 3}).json["url"]
    page = f"/clients/{link.rpartition('/')[2]}"
    assert "added to" not in api.client.get(page).text
    assert api.record(job, [said_of(wall)]).status_code == 201
    assert state(api, job) == ("open", True)
    shown = [api.send("GET", f"/v1/certificates/{each['id']}").json for each in (of_wall, of_attic)]
    assert [each["added_to_at"] is not None for each in shown] == [True, False]
    assert "The record was added to on" in api.client.get(page).text
    public = api.client.get(f"/verify/{of_wall['number']}", headers=PROGRAMS).json
    assert public["added_to_at"] == shown[0]["added_to_at"]
    # A closed job's is no more behind than any other's, once the certificate is withdrawn.
    assert api.send("POST", f"/v1/jobs/{job['id']}/closure").status_code == 200
    assert state(api, job) == ("closed", True)
    withdrawn = api.send("POST", f"/v1/certificates/{of_wall['id']}/withdrawal", {"reason": "Read wrongly."})
    assert withdrawn.status_code == 200
    assert state(api, job) == ("closed", False)


def test_after_each_batch_the_state_is_the_one_that_the_whole_ledger_gives(api: Api) -> None:
    """A batch reads itself and what it corrects; here each state is held against all that was said."""
    job, (wall, attic) = filled(api)
    assert api.issue(job, wall).status_code == 201
    first, again = said_of(attic), said_of(attic)
    at_hand = {name: first[name] for name in ("kind", "happened_at", "by")}
    slip = {**at_hand, "kind": "correction", "reason": "Slipped."}
    moved = {
        **slip,
        "id": str(uuid4()),
        "entry": again["id"],
        "replacement": {**at_hand, "cavity": attic, "remark": "x"},
    }
    back = {**slip, "id": str(uuid4()), "entry": moved["id"]}
    said = api.send("GET", f"/v1/jobs/{job['id']}/entries", role="installer").json["entries"]
    core = next(each["id"] for each in said if each["kind"] == "core" and each["data"]["cavity"] == wall)
    of_wall = {**slip, "id": str(uuid4()), "entry": core}
    seen = []
    for batch in ([first], [again], [moved], [back], [of_wall], [said_of(attic)], [said_of(wall)]):
        answer = api.record(job, batch)
        assert answer.status_code == 201, answer.text
        with operator_of(api.app) as database, reading(database) as connection:
            row = jobs.of_quote(connection, UUID(job["quote_id"]))
            assert row is not None
            whole = state_of(connection, row)
        assert (row["state"], row["moved_on_at"]) == (whole.state, whole.moved_on_at)
        seen.append(whole.moved_on_at is not None)
    assert seen == [False, False, False, False, True, True, True]


def test_a_batch_takes_as_much_however_much_was_said_since_a_certificate(api: Api) -> None:
    """Counted in calls of functions, as tests/contract/test_statements.py does: each row read would show."""
    job, (wall, attic) = filled(api)
    assert api.issue(job, wall).status_code == 201

    def taken() -> int:
        one = said_of(attic)
        return calls(lambda: api.record(job, [one]))

    taken()  # what is made once is kept
    before = taken()
    assert api.record(job, [said_of(attic) for _ in range(60)]).status_code == 201
    assert taken() <= 1.03 * before


def test_issuing_needs_the_tag_of_the_preview_that_is_there_now(api: Api) -> None:
    job, (wall, _attic) = filled(api)
    path, body = f"/v1/jobs/{job['id']}/certificates", {"signed_by": SIGNATORY}
    sent = {"role": "signatory", "Idempotency_Key": str(uuid4())}
    problem(api.send("POST", path, body, **sent), 428)
    problem(api.send("POST", path, body, If_Match="*", **sent), 428)
    problem(api.send("POST", path, body, If_Match='"another"', **sent), 412)
    seen = api.preview(job).headers["ETag"]
    # The tag of some parts is not that of all of them.
    problem(api.issue(job, wall, seen=seen), 412)
    assert api.record(job, [said_of(wall)]).status_code == 201
    problem(api.issue(job, seen=seen), 412)
    assert api.send("GET", path).json["items"] == []


def test_a_concession_outdates_a_preview(api: Api) -> None:
    job, _labels = filled(api, counted=False)
    seen = api.preview(job).headers["ETag"]
    grant = {"condition": "stock_unreconciled", "reason": "No scale.", "granted_by": "The office"}
    assert api.send("POST", f"/v1/jobs/{job['id']}/concessions", grant).status_code == 201
    problem(api.issue(job, seen=seen), 412)
    issued = api.issue(job)
    assert issued.status_code == 201
    named = [{"condition": "stock_unreconciled", "cavity": None, "subjects": ["stock"]}]
    assert issued.json["outcome"]["concessions"] == named
    page = api.client.get(f"/verify/{issued.json['number']}", headers={"Accept": "text/html"}).text
    assert "A concession was granted" in page
    assert "No scale" not in page


def test_who_signs_is_who_the_key_was_made_for(api: Api) -> None:
    job, _labels = filled(api)
    path = f"/v1/jobs/{job['id']}/certificates"
    sent = {
        "role": "signatory",
        "Idempotency_Key": str(uuid4()),
        "If_Match": api.preview(job).headers["ETag"],
    }
    refused = problem(api.send("POST", path, {"signed_by": "Somebody else"}, **sent), 422)
    assert [each["pointer"] for each in refused["errors"]] == ["/signed_by"]
    assert api.preview(job).json["signed_by"] == SIGNATORY


def test_what_a_certificate_would_say_is_shown_before_anything_is_filled(api: Api) -> None:
    """Whoever signs looks at it while the crew is on its way: it drew the widest of no parts."""
    path = f"/v1/jobs/{api.job()['id']}/certificates/preview/document"
    shown = api.send("GET", path, role="signatory")
    assert (shown.status_code, shown.data[:5]) == (200, b"%PDF-")


def test_the_preview_is_json_or_a_marked_file_and_stored_nowhere(api: Api) -> None:
    job, (wall, attic) = filled(api)
    shown = api.preview(job)
    assert shown.json["tag"] == shown.headers["ETag"].strip('"')
    assert shown.json["completes"]
    assert {"number", "issued_at", "signed_by"}.isdisjoint(shown.json["record"])
    for path, headers in (("", {"Accept": "application/pdf"}), ("/document", {})):
        address = f"/v1/jobs/{job['id']}/certificates/preview{path}"
        file = api.send("GET", address, role="signatory", **headers)
        assert file.content_type == "application/pdf"
        text = text_of(file.data)
        assert "Preview, not issued" in text
        assert wall in text
        assert attic in text
    assert api.send("GET", f"/v1/jobs/{job['id']}/certificates").json["items"] == []


@pytest.mark.parametrize("parts", [["Nowhere"], []])
def test_parts_that_are_not_of_the_job_are_named(api: Api, parts: list[str]) -> None:
    job, _labels = filled(api, first_only=True)
    path, body = f"/v1/jobs/{job['id']}/certificates", {"signed_by": SIGNATORY, "cavities": parts}
    sent = {"role": "signatory", "Idempotency_Key": str(uuid4()), "If_Match": '"seen"'}
    refused = problem(api.send("POST", path, body, **sent), 422)
    assert refused["errors"][0]["pointer"] == ("/cavities/0" if parts else "/cavities")


def test_the_signatory_reads_what_it_signs(api: Api) -> None:
    job, _labels = filled(api)
    issued = api.issue(job).json
    of_job = ("", "/entries", "/assessment", "/certificates", "/certificates/preview", "/document")
    paths = [f"/v1/jobs/{job['id']}{path}" for path in of_job]
    paths += [f"/v1/certificates/{issued['id']}{path}" for path in ("", "/document")]
    assert {api.send("GET", path, role="signatory").status_code for path in paths} == {200}


def test_the_record_is_answered_as_it_was_issued_in_any_language(api: Api) -> None:
    issued = api.issue(api.worked()).json
    path = f"/v1/certificates/{issued['number']}/record"
    for language in ("en", "de"):
        answer = api.send("GET", path, role="sales", Accept_Language=language)
        digest = hashlib.sha256(answer.data)
        assert digest.hexdigest() == issued["record_sha256"]
        told = base64.b64encode(digest.digest()).decode()
        assert answer.headers["Repr-Digest"] == f"sha-256=:{told}:"
    assert {part["cavity"]["label"] for part in answer.json["parts"]} == {
        part["cavity"] for part in issued["outcome"]["parts"]
    }
    again = api.send("GET", path, role="sales", If_None_Match=answer.headers["ETag"])
    assert again.status_code == 304


def test_nothing_of_all_this_is_a_fault(api: Api) -> None:
    job, (wall, _attic) = filled(api)
    assert api.issue(job).status_code == 201
    assert api.record(job, [said_of(wall)]).status_code == 201
    with operator_of(api.app) as database:
        assert checks.verify(database).faults == ()
