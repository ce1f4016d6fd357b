"""What a job's ledger may hold, and what an entry's id is."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from threading import Event, Thread
from typing import Any
from uuid import UUID, uuid4

import pytest
from flask import Flask
from sqlalchemy import Connection, Engine

from service.app import create_app
from service.settings import Settings
from service.store import entries, jobs
from service.store.session import writing
from tests.api import Api, problem

pytestmark = pytest.mark.usefixtures("papers_plain")

MOMENT = "2026-11-25T08:00:00Z"


def said(kind: str = "reclaimed", **fields: Any) -> dict[str, Any]:
    """An entry with an id of its own."""
    content = fields or {"mass_kg": 0}
    return {"kind": kind, "id": str(uuid4()), "happened_at": MOMENT, "by": "Crew 1", **content}


def ledger(api: Api, job: Any, after: int | None = None) -> list[Any]:
    query = "" if after is None else f"?after={after}"
    entries: list[Any] = api.send("GET", f"/v1/jobs/{job['id']}/entries{query}").json["entries"]
    return entries


@pytest.fixture(scope="module")
def app(settings: Settings) -> Iterator[Flask]:
    """The service with room for few entries."""
    app = create_app(replace(settings, entry_limit=3, job_entry_limit=5))
    yield app
    app.extensions["database"].dispose()


def test_a_batch_and_a_job_hold_so_many_entries_and_no_more(api: Api) -> None:
    job = api.job()
    refused = problem(api.record(job, [said() for _ in range(4)]), 422)
    assert refused["errors"][0]["pointer"] == "/entries"
    assert refused["errors"][0]["detail"] == "At most 3 entries in one batch."
    assert api.record(job, [said() for _ in range(3)]).status_code == 201
    refused = problem(api.record(job, [said() for _ in range(3)]), 422)
    assert refused["detail"] == "/entries: At most 5 entries for one job: it has 3."
    assert api.record(job, [said() for _ in range(2)]).status_code == 201
    assert len(ledger(api, job)) == 5


def test_the_same_entry_again_is_answered_as_stored_by_whatever_key_and_in_whatever_batch(api: Api) -> None:
    job = api.job()
    one, two, three = said(), said(), said()
    first = api.record(job, [one, two]).json["entries"]
    again = api.record(job, [two, three, one])
    assert again.status_code == 201
    assert [each["id"] for each in again.json["entries"]] == [two["id"], three["id"], one["id"]]
    assert [again.json["entries"][2], again.json["entries"][0]] == first
    assert [each["position"] for each in ledger(api, job)] == [1, 2, 3]


def test_the_same_moment_in_another_offset_is_another_way_to_say_when(api: Api) -> None:
    """The offset says which day it was on the site: it is part of what was said."""
    job, one = api.job(), said()
    assert api.record(job, [one]).status_code == 201
    assert api.record(job, [{**one, "happened_at": "2026-11-25T08:00:00.000+00:00"}]).status_code == 201
    assert api.record(job, [{**one, "happened_at": "2026-11-25T09:00:00+01:00"}]).status_code == 409
    assert len(ledger(api, job)) == 1


@pytest.mark.parametrize(
    "changed",
    [{"mass_kg": 1}, {"by": "Crew 2"}, {"remark": "x"}, {"happened_at": "2026-11-25T08:00:01Z"}],
    ids=str,
)
def test_another_content_under_a_known_id_is_a_conflict(api: Api, changed: dict[str, Any]) -> None:
    job, one = api.job(), said()
    assert api.record(job, [one]).status_code == 201
    refused = problem(api.record(job, [said(), {**one, **changed}]), 409)
    assert one["id"] in refused["detail"]
    assert len(ledger(api, job)) == 1


def test_one_id_twice_in_a_batch_is_one_entry_or_a_conflict(api: Api) -> None:
    job, one = api.job(), said()
    assert problem(api.record(job, [one, {**one, "mass_kg": 3}]), 409)
    answer = api.record(job, [one, one])
    assert [each["position"] for each in answer.json["entries"]] == [1, 1]
    assert len(ledger(api, job)) == 1


def test_an_id_belongs_to_its_job_and_another_firms_never_shows(api: Api) -> None:
    one, other = said(), Api(api.app, "other")
    jobs = api.job(), api.job()
    theirs = other.job()
    for caller, job in ((api, jobs[0]), (api, jobs[1]), (other, theirs)):
        answer = caller.record(job, [{**one, "remark": f"of {job['number']} {caller.firm}"}])
        assert answer.status_code == 201, answer.text
    assert other.record(jobs[0], [one]).status_code == 404


def test_what_was_stored_is_answered_after_the_job_was_closed_and_nothing_new_is_taken(api: Api) -> None:
    job, one = api.job(), said()
    assert api.record(job, [one]).status_code == 201
    assert api.send("POST", f"/v1/jobs/{job['id']}/closure").status_code == 200
    assert api.record(job, [one]).status_code == 201
    assert api.record(job, [one, said()]).status_code == 409


def test_a_job_brings_itself_no_material(api: Api) -> None:
    """Else whoever is short of bags takes them from himself."""
    job = api.job()
    number = api.send("GET", f"/v1/jobs/{job['id']}").json["number"]
    refused = problem(api.record(job, [said("delivery", lot="L1", bags=2, from_job=number)]), 422)
    assert [each["pointer"] for each in refused["errors"]] == ["/entries/0/from_job"]


def test_a_correction_of_what_was_corrected_names_the_one_that_stands(api: Api) -> None:
    job, wrong = api.job(), said()
    first = said("correction", entry=wrong["id"], reason="A slip.")
    second = said("correction", entry=first["id"], reason="Another.")
    assert api.record(job, [wrong, first, second]).status_code == 201
    refused = problem(api.record(job, [said("correction", entry=wrong["id"], reason="Late.")]), 409)
    assert second["id"] in refused["detail"]
    assert first["id"] not in refused["detail"]


def test_what_comes_after_a_position_is_listed_and_the_rest_is_not(api: Api) -> None:
    job = api.job()
    entries = [said() for _ in range(3)]
    assert api.record(job, entries).status_code == 201
    assert [each["id"] for each in ledger(api, job, after=1)] == [each["id"] for each in entries[1:]]
    assert ledger(api, job, after=3) == []
    assert len(ledger(api, job, after=0)) == 3
    path = f"/v1/jobs/{job['id']}/entries"
    for after in ("-1", "x", "1.0", "+1", ""):
        assert api.send("GET", f"{path}?after={after}").status_code == 422, after


def test_a_time_beyond_the_servers_is_stored_as_sent_and_marked(api: Api) -> None:
    job = api.job()
    ahead = {**said(), "happened_at": "2199-11-25T08:00:00Z"}
    (stored, punctual) = api.record(job, [ahead, said()]).json["entries"]
    assert (stored["happened_at"], stored["clock_doubtful"]) == ("2199-11-25T08:00:00Z", True)
    assert not punctual["clock_doubtful"]


def test_a_core_goes_by_the_depth_that_was_found_and_keeps_it(api: Api) -> None:
    """Where nobody measured the depth the core says how long it is; a depth it goes by is not taken away."""
    job = api.job()
    label = job["cavities"][0]["label"]
    core = said("core", cavity=label, bay=1, mass_g=160, feel="firm", patched=True)
    refused = problem(api.record(job, [core]), 422)
    assert [each["pointer"] for each in refused["errors"]] == ["/entries/0/length_mm"]
    found = said("found", cavity=label, depth_mm=[358, 360])
    assert api.record(job, [found, core]).status_code == 201
    gone = said("correction", entry=found["id"], reason="The wrong wall.")
    refused = problem(api.record(job, [gone]), 422)
    assert [each["pointer"] for each in refused["errors"]] == ["/entries/0"]
    changed = {"kind": "found", "happened_at": MOMENT, "by": "Crew 1", "cavity": label, "depth_mm": 355}
    assert api.record(job, [{**gone, "replacement": changed}]).status_code == 201


def test_what_a_tally_expanded_to_follows_its_correction(api: Api) -> None:
    job = api.job()
    label = job["cavities"][0]["label"]
    tally = said("tally", cavity=label, mass_kg=500, holes="as_planned", patched="all")
    assert api.record(job, [tally]).status_code == 201

    def holes() -> Any:
        found = api.send("GET", f"/v1/jobs/{job['id']}/assessment").json
        return next(each for each in found["holes"] if each["cavity"] == label)

    planned = holes()["planned"]
    assert (holes()["made"], holes()["closed"], holes()["as_planned"]) == (planned, planned, True)
    right = {name: tally[name] for name in tally if name != "id"}
    right |= {"holes": {"omitted": [1]}, "patched": {"all_but": [2]}}
    assert (
        api.record(
            job, [said("correction", entry=tally["id"], reason="Two differ.", replacement=right)]
        ).status_code
        == 201
    )
    assert (holes()["made"], holes()["omitted"], holes()["open"]) == (planned - 1, [1], [2])


def test_a_fill_of_nothing_breaks_nothing(api: Api) -> None:
    """A fill of 0 kg once made the assessment and the certificate answer 500."""
    job = api.job()
    label = job["cavities"][0]["label"]
    assert api.record(job, [said("fill", cavity=label, bay=1, mass_kg=0)]).status_code == 201
    found = api.send("GET", f"/v1/jobs/{job['id']}/assessment")
    assert found.status_code == 200
    assert "fill_missing" in {each["code"] for each in found.json["unmet"]}
    assert api.issue(job).status_code == 409


def add_slowly(database: Engine, job: Any, begun: Event, go: Event) -> None:
    """An entry in a transaction that stays open for a while."""

    def row(connection: Connection, key_id: UUID) -> dict[str, Any]:
        return {
            "id": uuid4(),
            "firm_id": found["firm_id"],
            "job_id": found["id"],
            "position": entries.last_position(connection, found["id"]) + 1,
            "kind": "reclaimed",
            "happened_at": datetime(2026, 11, 25, 8, tzinfo=UTC),
            "offset_min": 0,
            "by": "An older transaction",
            "received_at": datetime(2026, 11, 25, 8, tzinfo=UTC),
            "key_id": key_id,
            "data": {"mass_kg": 0},
            "corrects": None,
        }

    with writing(database) as connection:
        found = jobs.by_number(connection, firm_id=UUID(job["firm_id"]), number=job["number"])
        assert found is not None
        jobs.by_id(connection, firm_id=found["firm_id"], job_id=found["id"], lock=True)
        key_id = UUID(job["key_id"])
        entries.add_all(connection, [row(connection, key_id)])
        begun.set()
        go.wait(10)


def test_with_an_older_transaction_still_open_none_is_skipped(api: Api, database: Engine) -> None:
    """Whoever asks for what came after a position never finds a lower one committed later."""
    job = api.job()
    first = api.record(job, [said()]).json["entries"][0]["id"]
    with database.connect() as connection:
        stored = entries.of_ids(connection, UUID(job["id"]), {UUID(first)})[UUID(first)]
    known = {"firm_id": str(stored["firm_id"]), "key_id": str(stored["key_id"]), "number": job["number"]}
    # Keys are made beforehand: making one writes.
    assert len(ledger(api, job)) == 1
    other = Api(api.app)
    other.key("installer")
    begun, go = Event(), Event()
    older = Thread(target=add_slowly, args=(database, known, begun, go))
    older.start()
    assert begun.wait(10)
    younger_id, sent = said(), []
    younger = Thread(target=lambda: sent.append(other.record(job, [younger_id]).status_code))
    younger.start()
    younger.join(0.3)
    assert ledger(api, job, after=1) == []
    go.set()
    older.join(10)
    younger.join(10)
    assert sent == [201]
    assert [(each["position"], each["by"]) for each in ledger(api, job, after=1)] == [
        (2, "An older transaction"),
        (3, "Crew 1"),
    ]


def tallies(api: Api, job: Any) -> tuple[str, Any, set[str]]:
    """The first part, the bags on record for it, and what is unmet of it."""
    label = job["cavities"][0]["label"]
    found = api.send("GET", f"/v1/jobs/{job['id']}/assessment").json
    bags = next(each["bags"] for each in found["cavities"] if each["label"] == label)
    return label, bags, {each["code"] for each in found["unmet"] if each["cavity"] == label}


def test_two_phones_that_tally_one_part_block_until_one_is_taken_back(api: Api) -> None:
    job = api.job()
    label = job["cavities"][0]["label"]
    one, two = (said("tally", cavity=label, bags=41, holes="as_planned", patched="all") for _ in range(2))
    assert api.record(job, [one]).status_code == 201
    assert api.record(job, [{**two, "by": "Crew 2"}]).status_code == 201
    assert "counted_twice" in tallies(api, job)[2]
    gone = said("correction", entry=two["id"], reason="Recorded twice.")
    assert api.record(job, [gone]).status_code == 201
    _, bags, unmet = tallies(api, job)
    assert (bags, "counted_twice" in unmet) == (41, False)


@pytest.mark.parametrize(
    ("bags_are", "bags"), [(None, None), ("total", 41), ("besides", 51)], ids=["unsaid", "total", "besides"]
)
def test_a_tally_after_fills_says_what_its_bags_are(
    api: Api, bags_are: str | None, bags: float | None
) -> None:
    job = api.job()
    label = job["cavities"][0]["label"]
    fill = said("fill", cavity=label, bags=10)
    tally = said("tally", cavity=label, bags=41, holes="as_planned", patched="all")
    tally |= {"happened_at": "2026-11-25T09:00:00Z"} | ({"bags_are": bags_are} if bags_are else {})
    assert api.record(job, [fill, tally]).status_code == 201
    _, found, unmet = tallies(api, job)
    assert ("counted_twice" in unmet) == (bags_are is None)
    assert bags is None or found == bags


def test_a_part_is_told_as_done_once_it_is_and_by_the_entry_that_stands(api: Api) -> None:
    job = api.job()
    one, other = (each["label"] for each in job["cavities"])
    slip, right, wrong = (said("tally", cavity=label, bags=5) for label in (one, one, other))
    gone = said("correction", entry=slip["id"], reason="Slipped.")
    # It was not the one part that was done but the other: there is one still.
    replacement = {name: value for name, value in wrong.items() if name != "id"}
    moved = said("correction", entry=right["id"], reason="The other wall.", replacement=replacement)
    for batch in ([slip, gone], [right], [moved]):
        answer = api.record(job, batch)
        assert answer.status_code == 201, answer.text
    told = [
        (each["data"]["entry_id"], each["data"]["parts_done"])
        for each in api.send("GET", "/v1/events?limit=200").json["items"]
        if each["type"] == "job.part_done" and each["data"]["job_id"] == job["id"]
    ]
    assert told == [(right["id"], 1), (moved["id"], 1)]
