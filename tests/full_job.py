"""A job of which everything there is was issued: what checks, archives and imports are tried on."""

from typing import Any
from uuid import uuid4

from tests.api import ACCEPTED, Api, day_of, small_building
from tests.pictures import photo

LATE = "2026-11-25T17:00:00Z"


def full_job(api: Api) -> Any:
    """An option's job: assignment, supplements, a photo, a correction, a concession and two certificates."""
    wall, attic = small_building()["cavities"]
    options = [{"text": "With the attic", "cavities": [attic]}]
    # Its own reference: a quote of the same one is warned of as long as the other is there.
    job = api.job(small_building(reference=str(uuid4()), cavities=[wall], options=options), option="2")
    path = f"/v1/jobs/{job['id']}"
    taken = str(uuid4())
    _photo(api, path, taken)
    _assign(api, path)
    _supplements(api, path)
    for batch in day_of(job):
        for entry in batch:
            if entry["kind"] == "tally":
                entry["photos"] = [taken]
        kept = [entry for entry in batch if "left_over" not in entry]
        assert not kept or api.record(job, kept).status_code == 201
    _correct(api, job, path)
    grant = {"condition": "stock_unreconciled", "reason": "No scale on the day.", "granted_by": "The office"}
    _done(api.send("POST", f"{path}/concessions", grant))
    _done(api.send("GET", f"{path}/document"))
    _done(api.issue(job))
    second = _done(api.issue(job))
    _done(api.send("POST", f"/v1/certificates/{second['id']}/withdrawal", {"reason": "The wrong house."}))
    api.wait()
    return api.send("GET", path).json


def _assign(api: Api, path: str) -> None:
    crews = api.send("GET", "/v1/crews").json["items"]
    found = next((each for each in crews if each["name"] == "Crew of a full job"), None)
    crew = found or _done(
        api.send("POST", "/v1/crews", {"name": "Crew of a full job"}, Idempotency_Key="crew")
    )
    for day in ("2026-11-24", "2026-11-25"):
        _done(api.send("PUT", f"{path}/assignment", {"days": [{"day": day, "crew": crew["id"]}]}))


def _supplements(api: Api, path: str) -> None:
    """One that was accepted, of a line alone; and a wall that was proposed and withdrawn."""
    lines = [{"text": "Skip for rubble", "quantity": 1, "unit": "piece"}]
    found = {**small_building()["cavities"][0], "label": "Found"}
    for said, steps in (
        ({"lines": lines}, {"offer": {"unit_prices": ["90.00"]}, "acceptance": ACCEPTED}),
        ({"cavities": [found]}, {"withdrawal": {"reason": "The neighbour's."}}),
    ):
        body = {"id": str(uuid4()), "by": "Demo crew", **said}
        _done(api.send("POST", f"{path}/supplements", body, Idempotency_Key=str(uuid4())))
        for step, terms in steps.items():
            _done(api.send("POST", f"{path}/supplements/{body['id']}/{step}", terms))


def _photo(api: Api, path: str, named: str) -> None:
    headers = {"Authorization": f"Bearer {api.key('installer')}", "Content-Type": "image/jpeg"}
    headers["Idempotency-Key"] = str(uuid4())
    _done(api.client.put(f"{path}/photos/{named}", data=photo(), headers=headers))


def _correct(api: Api, job: Any, path: str) -> None:
    entries = api.send("GET", f"{path}/entries").json["entries"]
    wrong = next(entry for entry in entries if entry["kind"] == "tally")
    replacement = {
        **{name: value for name, value in wrong["data"].items() if value is not None},
        **{name: wrong[name] for name in ("kind", "happened_at", "by")},
    }
    correction = {"kind": "correction", "id": str(uuid4()), "happened_at": LATE, "by": "Demo crew"}
    correction |= {"entry": wrong["id"], "reason": "Written twice.", "replacement": replacement}
    _done(api.record(job, [correction]))


def _done(answer: Any) -> Any:
    assert answer.status_code in (200, 201), answer.text
    return answer.json
