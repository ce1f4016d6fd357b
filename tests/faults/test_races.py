"""Requests that arrive at once at a server with several worker processes: each has its effect once,
and of two that exclude each other exactly one gets through.
"""

from collections import Counter
from typing import Any
from uuid import UUID, uuid4

import pytest
from sqlalchemy import Engine, func, select

from service.store import tables
from service.store.session import reading
from service.usecases.keeping import checks
from tests.api import ACCEPTED
from tests.faults.client import Answer, Client, Sent, at_once
from tests.faults.conftest import Running
from tests.faults.stories import BODIES, Stories, small
from tests.long import rounds

ROUNDS = rounds(short=2, long=8)


def said(by: str) -> dict[str, Any]:
    """An entry with an id of its own."""
    moment = {"happened_at": "2026-11-25T10:00:00Z", "by": by}
    return {"kind": "reclaimed", "id": str(uuid4()), "mass_kg": 0, **moment}


@pytest.fixture
def client(running: Running) -> Client:
    """A client of the server."""
    return running.client


def quote(client: Client, reference: str, *steps: str) -> str:
    """The path of a quote that has taken these steps."""
    made = client.write("quote", "POST", "/v1/quotes", small(reference), role="sales")
    path = f"/v1/quotes/{_answer(made).json['id']}"
    for step in steps:
        assert client.write(step, "POST", f"{path}/{step}", BODIES.get(step), role="sales").stored
    return path


def worked(client: Client, reference: str) -> str:
    """The path of a job whose crew has done everything."""
    job_id = client.read(quote(client, reference, "offer", "acceptance"), "sales").json["job_id"]
    job = client.read(f"/v1/jobs/{job_id}/working", "crew").json
    Stories(client, reference).work(job, reference)
    return f"/v1/jobs/{job_id}"


def _answer(sent: Sent) -> Answer:
    assert sent.answer is not None
    return sent.answer


def race(client: Client, *requests: dict[str, Any]) -> list[Answer]:
    """The answers to requests that are sent at the same moment, each under a key of its own."""
    return [
        _answer(sent)
        for sent in at_once(
            *(lambda each=each: client.write("race", **{"role": "sales", **each}) for each in requests)
        )
    ]


def statuses(answers: list[Answer]) -> list[int]:
    """The statuses, in order."""
    return sorted(answer.status for answer in answers)


def count(database: Engine, table: Any, **wanted: Any) -> int:
    """How many rows of a table have these values."""
    chosen = [table.c[name] == value for name, value in wanted.items()]
    with reading(database) as connection:
        return connection.execute(select(func.count()).select_from(table).where(*chosen)).scalar_one()


def test_copies_that_arrive_at_once_have_one_effect_and_one_answer(client: Client, database: Engine) -> None:
    for number in range(ROUNDS):
        reference = f"copies {number}"
        made = client.write("quote", "POST", "/v1/quotes", small(reference), role="sales", copies=6)
        assert made.stored
        assert count(database, tables.quotes, reference=reference) == 1
        path = f"/v1/quotes/{_answer(made).json['id']}"
        for step in ("offer", "acceptance"):
            assert client.write(
                step, "POST", f"{path}/{step}", BODIES.get(step), role="sales", copies=6
            ).stored
    job = client.read(f"/v1/jobs/{client.read(path, 'sales').json['job_id']}", "crew").json
    batch = {"entries": [said("copies") for _ in range(3)]}
    assert client.write(
        "entries", "POST", f"/v1/jobs/{job['id']}/entries", batch, role="crew", copies=6
    ).stored
    assert count(database, tables.entries, by="copies") == 3
    # Copies that had different answers would stand here.
    assert client.told.faults == []


def test_of_two_bodies_under_one_key_one_is_refused(client: Client, database: Engine) -> None:
    for number in range(ROUNDS):
        key = {"Idempotency_Key": f"one key {number}"}
        answers = race(
            client,
            *(
                {
                    "method": "POST",
                    "path": "/v1/quotes",
                    "body": small(f"one key {number}", travel_km=km),
                    "keyed": False,
                    **key,
                }
                for km in (1, 2)
            ),
        )
        assert statuses(answers) == [201, 422]
        assert count(database, tables.quotes, reference=f"one key {number}") == 1


def test_two_writers_never_overwrite_each_other(client: Client) -> None:
    for number in range(ROUNDS):
        path = quote(client, f"writers {number}")
        tag = client.read(path, "sales").tag
        changes = [small(f"writer {who} of {number}") for who in range(3)]
        answers = race(
            client, *({"method": "PUT", "path": path, "body": body, "If_Match": tag} for body in changes)
        )
        assert statuses(answers) == [200, 412, 412]
        (winner,) = (answer for answer in answers if answer.status == 200)
        assert client.read(path, "sales").json == winner.json
        assert winner.json["version"] == 2


def test_of_what_has_one_name_there_is_one(client: Client) -> None:
    for number in range(ROUNDS):
        crew = {"method": "POST", "path": "/v1/crews", "body": {"name": f"Crew {number}"}, "role": "office"}
        assert statuses(race(client, crew, crew, crew)) == [201, 409, 409]
        path = f"/v1/subscriptions/race-{number}"
        body = {"url": "https://sales.example/", "events": ["quote.offered"]}
        put = {"method": "PUT", "path": path, "body": body, "role": "office"}
        answers = race(client, put, put, put)
        assert statuses(answers) == [200, 200, 200]
        assert sum(answer.json["secret"] is not None for answer in answers) == 1
        assert _answer(client.write("removed", "DELETE", path, role="office")).status == 204


def test_a_key_gives_way_to_one_and_a_crew_has_one_link(client: Client, database: Engine) -> None:
    for number in range(ROUNDS):
        body = {"label": f"rotated {number}", "roles": ["sales"]}
        key = _answer(client.write("key", "POST", "/v1/keys", body, role="office")).json
        rotate = {
            "method": "POST",
            "path": f"/v1/keys/{key['prefix']}/rotation",
            "body": {},
            "role": "office",
        }
        first, *others = statuses(race(client, rotate, rotate, rotate))
        assert first == 201
        # Whether the clock of a request that came too late was ahead of the first one's.
        assert set(others) <= {404, 409}
        crew = _answer(
            client.write("crew", "POST", "/v1/crews", {"name": f"Links {number}"}, role="office")
        ).json
        renew = {"method": "POST", "path": f"/v1/crews/{crew['id']}/link", "role": "office"}
        assert statuses(race(client, renew, renew, renew)) == [201, 201, 201]
        assert count(database, tables.keys, crew_id=UUID(crew["id"]), revoked_at=None) == 1


@pytest.mark.parametrize("keyed", [True, False])
def test_an_offer_is_accepted_once(client: Client, database: Engine, keyed: bool) -> None:
    for number in range(ROUNDS):
        path = quote(client, f"accepted {number} {keyed}", "offer")
        before = count(database, tables.jobs)
        step = {"method": "POST", "path": f"{path}/acceptance", "body": ACCEPTED, "keyed": keyed}
        assert statuses(race(client, step, step, step)) == [201, 409, 409]
        assert count(database, tables.jobs) == before + 1


def test_an_offer_is_accepted_or_withdrawn(client: Client, database: Engine) -> None:
    ended: Counter[str] = Counter()
    for number in range(2 * ROUNDS):
        path = quote(client, f"decided {number}", "offer")
        before = count(database, tables.jobs)
        steps = ["acceptance", "withdrawal"]
        answers = race(
            client,
            *({"method": "POST", "path": f"{path}/{step}", "body": BODIES.get(step)} for step in steps),
        )
        assert statuses(answers) in ([200, 409], [201, 409])
        (winner,) = (answer for answer in answers if answer.status != 409)
        state = client.read(path, "sales").json["state"]
        assert state == winner.json["state"] == ("accepted" if winner.status == 201 else "withdrawn")
        assert count(database, tables.jobs) == before + (state == "accepted")
        ended[state] += 1
    assert sum(ended.values()) == 2 * ROUNDS


def test_numbers_given_at_once_are_consecutive(client: Client) -> None:
    paths = [quote(client, f"numbered {number}") for number in range(8)]
    answers = race(client, *({"method": "POST", "path": f"{path}/offer"} for path in paths))
    assert {answer.status for answer in answers} == {200}
    serials = sorted(int(answer.json["number"].rsplit("-", 1)[1]) for answer in answers)
    assert serials == list(range(serials[0], serials[0] + 8))


def test_of_certificates_issued_at_once_by_one_preview_one_is_issued_and_withdrawn_once(
    client: Client, database: Engine
) -> None:
    job = worked(client, "certified")
    path = f"{job}/certificates"
    tag = client.read(f"{path}/preview", "crew").tag
    issue = {"method": "POST", "path": path, "body": {"signed_by": "crew"}, "If_Match": tag}
    sent = at_once(*[lambda: client.write("race", role="crew", **issue)] * 3)
    issued = [_answer(each) for each in sent]
    assert statuses(issued) == [201, 412, 412]
    (standing,) = client.read(path, "office").json["items"]
    assert standing["state"] == "in_force"
    path = f"/v1/certificates/{standing['id']}/withdrawal"
    withdrawals = at_once(
        *(
            lambda who=who: client.write("race", "POST", path, {"reason": who}, role="office")
            for who in ("one", "another")
        )
    )
    assert statuses([_answer(each) for each in withdrawals]) == [200, 409]
    assert checks.verify(database).faults == ()


def supplement(client: Client, job: str, reference: str) -> str:
    """The path of a supplement that is offered: one more wall like the job's."""
    (wall,) = small(reference)["cavities"]
    body = {"id": str(uuid4()), "by": "crew", "cavities": [{**wall, "label": "More"}]}
    assert client.write("propose", "POST", f"{job}/supplements", body, role="crew").stored
    path = f"{job}/supplements/{body['id']}"
    assert client.write("offer", "POST", f"{path}/offer", {}, role="sales").stored
    return path


def test_a_supplement_is_accepted_before_a_certificate_is_issued_or_after_it(
    client: Client, database: Engine
) -> None:
    """Never in between: whoever signs has read what is agreed, or is told that it is not so any more."""
    for number in range(ROUNDS):
        job = worked(client, f"agreed {number}")
        path = supplement(client, job, f"agreed {number}")
        label = client.read(f"{job}/working", "crew").json["cavities"][0]["label"]
        tag = client.read(f"{job}/certificates/preview?cavities={label}", "crew").tag
        signed = {"signed_by": "crew", "cavities": [label]}
        issue = {"method": "POST", "path": f"{job}/certificates", "body": signed, "If_Match": tag}
        accept = {"method": "POST", "path": f"{path}/acceptance", "body": ACCEPTED}
        issued, accepted = at_once(
            lambda issue=issue: client.write("race", role="crew", **issue),
            lambda accept=accept: client.write("race", role="office", **accept),
        )
        assert _answer(accepted).json["state"] == "accepted"
        assert _answer(issued).status in (201, 412)
        standing = client.read(f"{job}/certificates", "office").json["items"]
        assert len(standing) == (_answer(issued).status == 201)
        for each in standing:
            record = client.read(f"/v1/certificates/{each['id']}/record", "office").json
            assert [part["cavity"]["label"] for part in record["parts"]] == [label]
            assert [said["state"] for said in record["supplements"]] in ([], ["offered"])
        # What was accepted is still to be filled and certified.
        assert client.read(job, "office").json["state"] == "open"
    assert checks.verify(database).faults == ()


def test_a_batch_sent_at_once_by_two_is_numbered_without_gaps(client: Client, database: Engine) -> None:
    job_id = client.read(quote(client, "batches", "offer", "acceptance"), "sales").json["job_id"]
    path = f"/v1/jobs/{job_id}/entries"

    def send() -> Any:
        batch = {"entries": [said("batches") for _ in range(4)]}
        return client.write("race", "POST", path, batch, role="crew")

    sent = at_once(*[send] * 5)
    assert {each.stored for each in sent} == {True}
    listed = client.read(path, "crew").json["entries"]
    assert [each["position"] for each in listed] == list(range(1, 21))


def test_the_server_was_content(running: Running) -> None:
    """Last in this file: nothing of the above was an unexpected error."""
    log = running.server.log.read_text(encoding="utf-8")
    assert "unexpected error" not in log
    assert "Traceback" not in log
