"""Supplements: proposed on site, priced by the quote's basis, accepted, and only then certified."""

import csv
import hashlib
import io
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask

from service.demo.day import Day
from service.usecases.keeping import checks
from tests.api import ACCEPTED, NOW, PUBLIC, Api, day_of, operator_of, problem, small_building

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("papers_plain")]

NARROW = [{"depth_mm": 100, "framing": {"member_mm": 60, "spacing_mm": 45}}]


def wall(label: str = "W9", **changes: Any) -> dict[str, Any]:
    """A wall found on site, made like the first one of the small building."""
    return {**small_building()["cavities"][0], "label": label, "width_m": 3.2, "openings": [], **changes}


def proposal(**said: Any) -> dict[str, Any]:
    """What is posted of a supplement."""
    return {"id": str(uuid4()), "by": "Crew 1", **said}


def at(job: Any, supplement: Any = None, more: str = "") -> str:
    """The address of a job's supplements, or of one."""
    one = f"/{supplement['id']}" if supplement else ""
    return f"/v1/jobs/{job['id']}/supplements{one}{more}"


def propose(api: Api, job: Any, role: str = "installer", **said: Any) -> Any:
    """A supplement that was proposed."""
    answer = api.send("POST", at(job), proposal(**said), role=role, Idempotency_Key=str(uuid4()))
    assert answer.status_code == 201, answer.text
    return answer.json


def act(api: Api, job: Any, supplement: Any, step: str, body: Any = None, role: str = "office") -> Any:
    """A step that goes well."""
    answer = api.send("POST", at(job, supplement, f"/{step}"), body or {}, role=role)
    assert answer.status_code == 200, answer.text
    return answer.json


def working(api: Api, job: Any) -> Any:
    """The job's working as it is now."""
    return api.send("GET", f"/v1/jobs/{job['id']}/working", role="installer").json


def parts_exported(api: Api, job: Any) -> list[dict[str, str]]:
    """The rows that the table of parts has of a job."""
    table = api.send("GET", "/v1/exports/parts?since=2020-01-01&until=2099-12-31", role="sales").text
    return [row for row in csv.DictReader(io.StringIO(table)) if row["job"] == job["number"]]


def fill(api: Api, job: Any, label: str) -> None:
    """The crew fills a part as it was planned, its checks answered before."""
    now = working(api, job)
    (planned,) = [each for each in now["takeoff"]["cavities"] if each["label"] == label]
    (surveyed,) = [each for each in now["cavities"] if each["label"] == label]
    points = [each for each in now["takeoff"]["hold_points"] if each["cavity"] == label]
    day = Day({**now, "takeoff": {**now["takeoff"], "hold_points": points}}, NOW + timedelta(hours=2))
    before, filled = day.before(), day.cavity(surveyed, planned)
    for entry in before:
        if entry["kind"] == "delivery":
            entry["bags"] = day.blown_kg / day.bag_kg
    for batch in (before, filled):
        answer = api.record(job, batch)
        assert answer.status_code == 201, answer.text


def codes(api: Api, job: Any, label: str) -> set[str]:
    """What stands in the way of a part."""
    found = api.send("GET", f"/v1/jobs/{job['id']}/assessment").json
    return {each["code"] for each in found["unmet"] if each["cavity"] == label}


def link(api: Api, job: Any) -> str:
    """The address that opens the client's page of a job's quote."""
    made = api.send("POST", f"/v1/quotes/{job['quote_id']}/links", {"days": 3}, role="sales").json
    return made["url"].removeprefix(PUBLIC)


@pytest.fixture(scope="module")
def worked(app: Flask) -> Any:
    """A job whose crew has done everything."""
    return Api(app).worked()


@pytest.fixture(scope="module")
def tried(app: Flask) -> Any:
    """A job on which nothing is filled: supplements are tried on it."""
    return Api(app).job(counted())


def counted() -> dict[str, Any]:
    """The small building with its first wall twice."""
    first, *others = small_building()["cavities"]
    return small_building(cavities=[{**first, "label": "W1", "count": 2}, *others])


def test_what_is_proposed_on_site_is_a_part_at_once_and_shows_no_price(api: Api, tried: Any) -> None:
    before = working(api, tried)["takeoff"]
    lines = [{"text": "Skip for rubble", "quantity": 1, "unit": "piece"}]
    proposed = propose(api, tried, cavities=[wall("N1")], lines=lines)
    assert (proposed["state"], proposed["parts"], proposed["agreed"]) == ("proposed", ["N1"], False)
    assert "price" not in proposed
    after = working(api, tried)["takeoff"]
    assert [each["label"] for each in after["cavities"]][-1] == "N1"
    assert after["mass_kg"] - before["mass_kg"] == pytest.approx(proposed["adds"]["mass_kg"], rel=1e-3)
    short = api.send("GET", f"/v1/jobs/{tried['id']}", role="installer").json
    assert [each["label"] for each in short["takeoff"]["cavities"]][-1] == "N1"
    assert short["takeoff"]["bags"] == after["bags"] > before["bags"]
    assert codes(api, tried, "N1") >= {"part_not_accepted", "fill_missing"}
    listed = api.send("GET", "/v1/jobs").json["items"]
    (line,) = [each for each in listed if each["id"] == tried["id"]]
    assert (line["bags"], line["parts"]) == (after["bags"], len(after["cavities"]))
    exported = [each for each in parts_exported(api, tried) if each["label"] == "N1"]
    assert [(each["supplement"], each["agreed"].lower()) for each in exported] == [
        (proposed["number"], "false")
    ]
    for role in ("installer", "signatory"):
        (seen,) = api.send("GET", at(tried), role=role).json["items"]
        assert "price" not in seen
    withdrawn = act(api, tried, proposed, "withdrawal", {"reason": "Another house"}, role="installer")
    assert (withdrawn["state"], withdrawn["reason"]) == ("withdrawn", "Another house")
    assert working(api, tried)["takeoff"]["cavities"] == before["cavities"]
    # The table of parts has those of the plan, as they stand.
    labels = [each["label"] for each in before["cavities"]]
    assert [each["label"] for each in parts_exported(api, tried)] == labels


@pytest.mark.both_databases
def test_the_same_proposal_is_one_and_another_under_its_id_is_refused(api: Api, tried: Any) -> None:
    said = proposal(cavities=[wall("S1")])
    sent = [
        api.send("POST", at(tried), each, role=role, Idempotency_Key=str(uuid4()))
        for role, each in (("installer", said), ("office", said), ("office", {**said, "by": "Crew 2"}))
    ]
    assert [each.status_code for each in sent] == [201, 201, 409]
    assert sent[0].json["number"] == sent[1].json["number"]
    assert problem(sent[2], 409)["code"] == "supplements.says_something_else"
    act(api, tried, said, "withdrawal")


@pytest.mark.parametrize(
    ("said", "pointer"),
    [
        ({}, ""),
        ({"cavities": [{"label": "W1.1"}]}, "/cavities/0/label"),
        (
            {"cavities": [{}, {"label": "B", "layers": NARROW}]},
            "/cavities/1/layers",
        ),
        ({"counts": [{"cavity": "W7", "count": 2}]}, "/counts/0/cavity"),
        ({"counts": [{"cavity": "W1", "count": 2}]}, "/counts/0/count"),
        ({"counts": [{"cavity": "W1", "count": 3}, {"cavity": "W1", "count": 1}]}, "/counts/1/cavity"),
    ],
    ids=["empty", "label", "size", "no cavity", "same count", "twice"],
)
def test_what_cannot_be_is_refused_at_its_place(
    api: Api, tried: Any, said: dict[str, Any], pointer: str
) -> None:
    body = {**said, "cavities": [wall(**{"label": "A", **each}) for each in said.get("cavities", [])]}
    answer = api.send("POST", at(tried), proposal(**body), Idempotency_Key=str(uuid4()))
    faults = problem(answer, 422)["errors"]
    assert faults[0]["pointer"].startswith(pointer)


def test_its_price_is_the_job_with_it_less_the_job_before(api: Api) -> None:
    """Both priced whole: set-up is in each of them once, and so it is not in the supplement."""
    job = api.job()
    proposed = propose(api, job, cavities=[wall()], lines=[{"text": "Skip", "quantity": 2, "unit": "piece"}])
    refused = api.send("POST", at(job, proposed, "/offer"), {}, role="sales")
    assert problem(refused, 422)["errors"][0]["pointer"] == "/unit_prices"
    offered = act(api, job, proposed, "offer", {"unit_prices": ["120.00"]}, role="sales")
    with_it = small_building(cavities=[*small_building()["cavities"], wall()])
    whole, before = (
        api.send("POST", "/v1/takeoffs", body).json["price"] for body in (with_it, small_building())
    )
    price = offered["price"]
    assert Decimal(price["net"]) == Decimal(whole["net"]) - Decimal(before["net"]) + Decimal("240.00")
    assert sum(Decimal(line["amount"]) for line in price["lines"]) == Decimal(price["net"])
    assert Decimal(price["net"]) + Decimal(price["tax"]) == Decimal(price["total"])
    assert "set_up" not in {line["code"] for line in price["lines"]}
    assert {"en": "Skip"} in [line["text"] for line in price["lines"]]
    seen = api.send("GET", at(job, proposed), role="installer").json
    assert (seen["state"], "price" in seen) == ("offered", False)
    by_crew = api.send("POST", at(job, proposed, "/withdrawal"), {}, role="installer")
    problem(by_crew, 403)
    paper = api.send("GET", at(job, proposed, "/document"), role="sales")
    assert (paper.status_code, paper.data[:5]) == (200, b"%PDF-")
    problem(api.send("GET", at(job, proposed, "/document"), role="installer"), 403)


def test_a_month_holds_what_was_done_against_the_plan_with_its_supplements(api: Api, worked: Any) -> None:
    def compared() -> dict[str, Any]:
        found = api.send("GET", "/v1/summary?from=2020-01-01&to=2100-01-01").json
        return {each["what"]: each for each in found["compared"]}

    before = compared()
    one_more = propose(api, worked, cavities=[wall("M1")])
    after = compared()
    act(api, worked, one_more, "withdrawal", {"reason": "Another house"})
    assert compared() == before
    assert after["kilograms"]["jobs"] == before["kilograms"]["jobs"] >= 1
    more = {what: after[what]["planned"] - before[what]["planned"] for what in ("kilograms", "holes")}
    assert more["kilograms"] == pytest.approx(one_more["adds"]["mass_kg"], rel=1e-3)
    assert more["holes"] == one_more["adds"]["holes"]


def test_more_and_fewer_of_a_cavity(api: Api) -> None:
    job = api.job(counted())
    more = propose(api, job, counts=[{"cavity": "W1", "count": 3}])
    assert (more["parts"], more["dropped"], more["counts"][0]["change"]) == (["W1.3"], [], 1)
    act(api, job, act(api, job, more, "offer"), "acceptance", ACCEPTED)
    fewer = propose(api, job, counts=[{"cavity": "W1", "count": 1}])
    assert (fewer["parts"], fewer["dropped"]) == ([], ["W1.2", "W1.3"])
    offered = act(api, job, fewer, "offer")
    assert Decimal(offered["price"]["total"]) < 0
    there = {each["label"] for each in working(api, job)["cavities"]}
    assert {"W1.1", "W1.2", "W1.3"} <= there
    act(api, job, offered, "acceptance", ACCEPTED)
    left = working(api, job)
    assert {each["label"] for each in left["cavities"]} == there - {"W1.2", "W1.3"}
    assert not {each["cavity"] for each in left["takeoff"]["hold_points"]} & {"W1.2", "W1.3"}
    both = (Decimal(each["price"]["net"]) for each in api.send("GET", at(job), role="sales").json["items"])
    once = counted()["cavities"][0]
    single = small_building(cavities=[{**once, "count": 1}, *counted()["cavities"][1:]])
    one, two = (api.send("POST", "/v1/takeoffs", body).json["price"]["net"] for body in (single, counted()))
    assert sum(both) == Decimal(one) - Decimal(two)


def test_one_more_of_what_the_client_refused_costs_what_one_costs(api: Api) -> None:
    job = api.job(counted())
    first = propose(api, job, cavities=[wall()])
    one_more = propose(api, job, counts=[{"cavity": "W9", "count": 2}])
    price = act(api, job, first, "offer")["price"]
    act(api, job, first, "refusal")
    assert act(api, job, one_more, "offer")["price"]["net"] == price["net"]


def test_to_leave_out_what_was_withdrawn_takes_nothing_off_the_job(api: Api) -> None:
    job = api.job(counted())
    two = propose(api, job, cavities=[wall(count=2)])
    fewer = propose(api, job, counts=[{"cavity": "W9", "count": 1}])
    one = propose(api, job, counts=[{"cavity": "W1", "count": 1}])
    assert fewer["dropped"] == ["W9.2"]
    act(api, job, two, "withdrawal")
    now = working(api, job)["takeoff"]
    mass_kg = job["takeoff"]["mass_kg"] + one["adds"]["mass_kg"]
    assert now["mass_kg"] == pytest.approx(mass_kg, rel=1e-4)
    bags = job["takeoff"]["bags"] + one["adds"]["bags"]
    assert now["bags"] == bags
    ordered = api.send("GET", f"/v1/orders?job={job['number']}").json["items"]
    assert ordered[0]["planned_bags"] == bags


def test_what_nobody_has_decided_yet_is_left_out_by_itself(api: Api) -> None:
    """Refused later it was never there, and what was left out with it would come off the job with it."""
    job = api.job(counted())
    propose(api, job, cavities=[wall(count=2)])
    fewer = [{"cavity": "W9", "count": 1}]
    for besides in (
        {"counts": [*fewer, {"cavity": "W1", "count": 1}]},
        {"cavities": [wall("W10")], "counts": fewer},
    ):
        refused = api.send("POST", at(job), proposal(**besides), Idempotency_Key=str(uuid4()))
        (fault,) = problem(refused, 422)["errors"]
        assert (fault["pointer"], fault["code"]) == ("/counts", "supplements.undecided_apart")
    assert propose(api, job, counts=fewer)["dropped"] == ["W9.2"]


def test_of_several_alike_those_are_left_out_that_are_named(api: Api, tried: Any) -> None:
    gone = [{"cavity": label, "count": 0} for label in ("W1.1", "W1.2")]
    twice = api.send("POST", at(tried), proposal(counts=[*gone, gone[0]]), Idempotency_Key=str(uuid4()))
    assert [each["pointer"] for each in problem(twice, 422)["errors"]] == ["/counts/2/cavity"]
    first = propose(api, tried, counts=gone[:1])
    assert (first["dropped"], first["counts"][0]) == (["W1.1"], {"cavity": "W1", "count": 1, "change": -1})
    act(api, tried, first, "withdrawal")
    both = propose(api, tried, counts=gone)
    assert both["dropped"] == ["W1.1", "W1.2"]
    assert both["adds"]["mass_kg"] == pytest.approx(2 * first["adds"]["mass_kg"])
    act(api, tried, both, "withdrawal")


def test_what_was_recorded_of_is_not_left_out(api: Api) -> None:
    job = api.job(counted())
    fewer = act(api, job, propose(api, job, counts=[{"cavity": "W1", "count": 1}]), "offer")
    note = {"kind": "note", "cavity": "W1.2", "remark": "Begun", "by": "Crew 1"}
    note |= {"id": str(uuid4()), "happened_at": "2026-11-25T10:00:00Z"}
    assert api.record(job, [note]).status_code == 201
    refused = api.send("POST", at(job, fewer, "/acceptance"), ACCEPTED)
    assert problem(refused, 409)["code"] == "supplements.recorded_since"
    act(api, job, fewer, "withdrawal")
    again = api.send("POST", at(job), proposal(counts=[{"cavity": "W1", "count": 0}]), Idempotency_Key="0")
    assert problem(again, 422)["errors"][0]["pointer"] == "/counts/0/count"


def test_a_part_that_was_found_full_is_left_out_and_the_others_are_ready(api: Api) -> None:
    """Nobody can fill it: to say what was found is no worse than to say nothing, and then leave it out."""
    job = api.job(counted())
    said = [entry for batch in day_of(job) for entry in batch if entry.get("cavity") != "W1.2"]
    full = next(each for each in job["takeoff"]["cavities"] if each["label"] == "W1.2")
    met = {"kind": "found", "cavity": "W1.2", "state": "full", "by": "Crew 1"}
    said += [
        {**met, "id": str(uuid4()), "happened_at": "2026-11-25T10:00:00Z", "bay": bay}
        for bay in {bay for space in full["compartments"] for bay in space["bays"]}
    ]
    assert api.record(job, said).status_code == 201
    path = f"/v1/jobs/{job['id']}/assessment"
    asked = [each for each in api.send("GET", path).json["unmet"] if each["cavity"] == "W1.2"]
    assert [(each["code"], each["detail"]["code"]) for each in asked] == [("fill_missing", "site.all_apart")]
    fewer = act(api, job, propose(api, job, counts=[{"cavity": "W1.2", "count": 0}]), "offer")
    act(api, job, fewer, "acceptance", ACCEPTED)
    left = api.send("GET", path).json
    assert not [each for each in left["unmet"] if each["code"] != "stock_unreconciled"]
    assert "W1.2" not in {each["label"] for each in left["cavities"]}


@pytest.mark.both_databases
def test_of_two_offers_the_second_is_priced_anew_once_the_first_is_accepted(api: Api, tried: Any) -> None:
    first, second = (
        act(api, tried, propose(api, tried, cavities=[wall(label)]), "offer") for label in ("P1", "P2")
    )
    act(api, tried, first, "acceptance", ACCEPTED)
    refused = api.send("POST", at(tried, second, "/acceptance"), ACCEPTED)
    assert problem(refused, 409)["code"] == "supplements.price_outdated"
    act(api, tried, act(api, tried, second, "offer"), "acceptance", ACCEPTED)


def test_a_list_of_jobs_counts_the_parts_that_are_on_the_plan(api: Api) -> None:
    """What was filled and then refused is in the wall; what is left out is gone, but for what was begun."""
    job = api.job(counted())
    filled, empty = (propose(api, job, cavities=[wall(label)]) for label in ("W8", "W9"))
    fewer = act(api, job, propose(api, job, counts=[{"cavity": "W1.2", "count": 0}]), "offer")
    act(api, job, fewer, "acceptance", ACCEPTED)
    said = {"kind": "tally", "cavity": "W8", "mass_kg": 90.0, "run_empty": True, "by": "Crew 1"}
    said |= {"id": str(uuid4()), "happened_at": "2026-11-25T10:00:00Z"}
    assert api.record(job, [said]).status_code == 201
    for each in (filled, empty):
        act(api, job, act(api, job, each, "offer"), "refusal")
    short = api.send("GET", f"/v1/jobs/{job['id']}").json
    assert [each["label"] for each in short["takeoff"]["cavities"]] == ["W1.1", "AT", "W8"]
    listed = api.send("GET", "/v1/jobs?limit=100").json["items"]
    (line,) = [each for each in listed if each["id"] == job["id"]]
    assert (line["parts"], line["parts_done"]) == (3, 1)


def test_the_client_accepts_by_his_link_what_he_was_shown_and_once(api: Api) -> None:
    job = api.job()
    address = link(api, job)
    proposed = propose(api, job, cavities=[wall()])
    page = api.client.get(address, headers={"Accept": "text/html"}).text
    assert proposed["number"] not in page
    accepting = f"{address}/supplements/{proposed['id']}"
    unseen = api.client.post(f"{accepting}/acceptance", json={"name": "A", "document_sha256": "0" * 64})
    assert unseen.status_code == 404
    act(api, job, proposed, "offer")
    assert api.client.get(f"{accepting}/document").status_code == 202
    api.wait()
    page = api.client.get(address, headers={"Accept": "text/html"}).text
    assert proposed["number"] in page
    paper = api.client.get(f"{accepting}/document").data
    shown = {"name": "A neighbour", "document_sha256": hashlib.sha256(paper).hexdigest()}
    assert shown["document_sha256"] in page
    assert api.client.get(f"{accepting}/acceptance").status_code == 405
    other = api.client.post(f"{accepting}/acceptance", json={**shown, "document_sha256": "0" * 64})
    assert other.status_code == 409
    answers = [api.client.post(f"{accepting}/acceptance", json=shown) for _ in range(2)]
    assert [each.status_code for each in answers] == [201, 201]
    assert answers[0].json == answers[1].json
    assert api.send("GET", at(job, proposed)).json["state"] == "accepted"
    # What is offered still when the job is closed cannot be accepted, and the page does not ask for it.
    act(api, job, propose(api, job, cavities=[wall("W10")]), "offer")
    api.wait()
    assert "/acceptance" in api.client.get(address, headers={"Accept": "text/html"}).text
    assert api.send("POST", f"/v1/jobs/{job['id']}/closure").status_code == 200
    assert "/acceptance" not in api.client.get(address, headers={"Accept": "text/html"}).text
    elsewhere = f"{link(api, api.job())}/supplements/{proposed['id']}/acceptance"
    assert api.client.post(elsewhere, json=shown).status_code == 404


def test_the_client_refuses_by_his_link_what_he_was_shown_and_once(api: Api) -> None:
    job = api.job()
    address = link(api, job)
    proposed = act(api, job, propose(api, job, cavities=[wall()]), "offer")
    refusing = f"{address}/supplements/{proposed['id']}/refusal"
    api.wait()
    paper = api.client.get(f"{address}/supplements/{proposed['id']}/document").data
    shown = {"name": "A neighbour", "document_sha256": hashlib.sha256(paper).hexdigest()}
    assert api.client.get(refusing).status_code == 405
    assert api.client.post(refusing, json={**shown, "document_sha256": "0" * 64}).status_code == 409
    page = api.client.post(refusing, data={**shown, "reason": "Too dear"}, headers={"Accept": "text/html"})
    assert (page.status_code, page.location) == (303, address)
    again = api.client.post(refusing, json=shown)
    assert (again.status_code, again.json["reason"]) == (201, "Too dear")
    assert "by A neighbour" in api.client.get(address, headers={"Accept": "text/html"}).text
    seen = api.send("GET", at(job, proposed)).json
    told = (seen["state"], seen["reason"], seen["refused_by"])
    assert told == ("refused", "Too dear", "A neighbour")
    accepting = api.client.post(refusing.replace("refusal", "acceptance"), json=shown)
    assert problem(accepting, 409)["code"] == "supplements.not_to_be_accepted"
    # His words are erased with him; the refusal stays, and the database is whole.
    assert api.send("POST", f"/v1/jobs/{job['id']}/closure").status_code == 200
    erased = api.send(
        "POST", f"/v1/quotes/{job['quote_id']}/erasure", {"reason": "Asked for"}, Idempotency_Key="e"
    )
    assert erased.status_code == 200
    seen = api.send("GET", at(job, proposed)).json
    told = (seen["state"], seen["reason"], seen["refused_by"])
    assert told == ("refused", None, None)
    with operator_of(api.app) as database:
        assert checks.verify(database).faults == ()


def test_a_form_s_empty_reason_is_none(api: Api, tried: Any) -> None:
    address = link(api, tried)
    proposed = act(api, tried, propose(api, tried, cavities=[wall("R1")]), "offer")
    refusing = f"{address}/supplements/{proposed['id']}/refusal"
    api.wait()
    paper = api.client.get(f"{address}/supplements/{proposed['id']}/document").data
    shown = {"name": "A neighbour", "document_sha256": hashlib.sha256(paper).hexdigest()}
    unnamed = {**shown, "name": ""}
    assert api.client.post(refusing, data=unnamed, headers={"Accept": "text/html"}).status_code == 422
    assert api.client.post(refusing, data={**shown, "reason": ""}).json["reason"] is None


def test_a_part_that_nobody_accepted_is_certified_only_once_the_office_takes_it_over(
    api: Api, worked: Any
) -> None:
    job, certified = worked, api.issue(worked)
    assert certified.status_code == 201, certified.text
    proposed = act(api, job, propose(api, job, cavities=[wall("T1")]), "offer")
    assert api.send("GET", f"/v1/jobs/{job['id']}").json["state"] == "certified"
    fill(api, job, "T1")
    act(api, job, proposed, "refusal", {"reason": "Too dear"})
    assert "part_not_accepted" in codes(api, job, "T1")
    refused = api.issue(job, "T1")
    assert "part_not_accepted" in {each["code"] for each in problem(refused, 409)["conditions"]}
    seen = api.preview(job).headers["ETag"]
    taken = act(api, job, proposed, "takeover", {"by": "The office", "reason": "Filled by mistake."})
    assert (taken["state"], taken["agreed"]) == ("refused", True)
    assert api.send("GET", f"/v1/jobs/{job['id']}").json["state"] == "open"
    assert api.issue(job, seen=seen).status_code == 412
    issued = api.issue(job, "T1")
    assert issued.status_code == 201, [(e["code"], e["subject"]) for e in issued.json["conditions"]]
    record = api.preview(job, "T1").json["record"]
    (named,) = record["supplements"]
    assert (named["number"], named["parts"]) == (proposed["number"], ["T1"])
    assert named["taken_over"]["reason"] == "Filled by mistake."
    assert api.send("GET", f"/v1/jobs/{job['id']}").json["state"] == "certified"
