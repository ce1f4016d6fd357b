"""Batches of entries held against what was recorded before: tags, corrections and positions."""

from typing import Any
from uuid import uuid4

from tests.api import Api

RECORDED = {"recorded_at": "2026-11-25T10:00:00Z", "recorded_by": "Somebody"}


def hole(job: Any, tag: str) -> dict[str, Any]:
    """An entry hole in the first cavity."""
    cavity = job["cavities"][0]["label"]
    sizes = {"width_mm": 65, "height_mm": 65}
    return {"kind": "penetration", "tag": tag, "cavity": cavity, "purpose": "entry", **sizes, **RECORDED}


def correction(entry: str, replacement: Any = None) -> dict[str, Any]:
    """A correction of an entry: by another one, or by nothing."""
    return {
        "kind": "correction",
        "entry": entry,
        "reason": "mistyped",
        "replacement": replacement,
        **RECORDED,
    }


def stored(api: Api, job: Any, *entries: dict[str, Any]) -> list[Any]:
    """The entries as they were stored."""
    answer = api.record(job, list(entries))
    assert answer.status_code == 201, answer.text
    return answer.json["entries"]


def refused(api: Api, job: Any, *entries: dict[str, Any]) -> list[str]:
    """The pointers of what is wrong with a batch."""
    answer = api.record(job, list(entries))
    assert answer.status_code == 422, answer.text
    return [error["pointer"] for error in answer.json["errors"]]


def test_positions_run_on_from_batch_to_batch(api: Api) -> None:
    job = api.job()
    batches = (stored(api, job, hole(job, "A"), hole(job, "B")), stored(api, job, hole(job, "C")))
    assert [[each["position"] for each in batch] for batch in batches] == [[1, 2], [3]]


def test_a_tag_of_an_earlier_batch_is_taken_until_it_is_corrected(api: Api) -> None:
    job = api.job()
    first, second = stored(api, job, hole(job, "A"), hole(job, "B"))
    assert refused(api, job, hole(job, "C"), hole(job, "A")) == ["/entries/1/tag"]
    assert refused(api, job, correction(first["id"], hole(job, "B"))) == ["/entries/0/replacement/tag"]
    (renamed,) = stored(api, job, correction(first["id"], hole(job, "A1")))
    stored(api, job, hole(job, "A"), correction(second["id"]))
    stored(api, job, hole(job, "B"))
    assert refused(api, job, hole(job, "A1")) == ["/entries/0/tag"]
    stored(api, job, correction(renamed["id"]))
    stored(api, job, hole(job, "A1"))


def test_only_an_entry_of_the_same_job_is_corrected_and_only_once(api: Api) -> None:
    job, other = api.job(), api.job()
    (ours,), (theirs,) = (stored(api, each, hole(each, "A")) for each in (job, other))
    assert refused(api, job, correction(theirs["id"])) == ["/entries/0/entry"]
    assert refused(api, job, correction(str(uuid4()))) == ["/entries/0/entry"]
    assert refused(api, job, correction(ours["id"]), correction(ours["id"])) == ["/entries/1/entry"]
    stored(api, job, correction(ours["id"]))
    assert refused(api, job, correction(ours["id"])) == ["/entries/0/entry"]


def test_every_cavity_that_a_batch_names_is_looked_at(api: Api) -> None:
    job = api.job()
    labels = [cavity["label"] for cavity in job["cavities"]]
    holes = [hole(job, f"T{number}") | {"cavity": label} for number, label in enumerate([*labels, "nowhere"])]
    assert refused(api, job, *holes) == [f"/entries/{len(labels)}/cavity"]
    assert refused(api, job, *(each | {"bay": 999} for each in holes[:1])) == ["/entries/0/bay"]
    assert len(stored(api, job, *holes[:-1])) == len(labels)
