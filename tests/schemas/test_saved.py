"""The file that a phone saves: read by its fields, and refused by them."""

from typing import Any
from uuid import uuid4

import pytest
from marshmallow import ValidationError

from schemas.saved import FORMAT, SavedEntries

MOMENT = "2026-11-25T08:00:00Z"
JOB = str(uuid4())
NOTE = {
    "kind": "note",
    "id": str(uuid4()),
    "happened_at": "2026-11-25T08:00:00Z",
    "by": "Alex",
    "remark": "x",
}


def saved(**changes: Any) -> Any:
    return {"format": FORMAT, "jobs": {JOB: [NOTE]}, **changes}


def test_entries_are_read_job_by_job_as_if_they_were_posted() -> None:
    loaded = SavedEntries().load(saved())
    ((job, (entry,)),) = loaded["jobs"].items()
    assert (str(job), entry["kind"], entry["remark"], loaded["photos"]) == (JOB, "note", "x", [])


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"format": "another-1"}, "format"),
        ({"jobs": {"no id": [NOTE]}}, "jobs"),
        ({"jobs": {JOB: [{**NOTE, "kind": "nothing"}]}}, "jobs"),
        ({"jobs": {JOB: []}}, "jobs"),
        ({"photos": [{"id": JOB, "content": ""}]}, "photos"),
        ({"more": 1}, "more"),
    ],
)
def test_what_it_may_not_be_is_named(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(ValidationError) as refused:
        SavedEntries().load(saved(**changes))
    assert list(refused.value.messages_dict) == [field]
