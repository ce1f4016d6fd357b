"""A phone's file, from its bytes to what can be recorded."""

import base64
import json
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from service.api.saved_entries import read_entries, read_saved
from service.errors import InvalidInput

MOMENT = "2026-11-25T08:00:00Z"
JOB = str(uuid4())
NOTE = {
    "kind": "note",
    "id": str(uuid4()),
    "happened_at": "2026-11-25T08:00:00Z",
    "by": "Alex",
    "remark": "x",
}


def file(folder: Path, **changes: Any) -> Path:
    content = {"format": "baywright-entries-1", "jobs": {JOB: [NOTE]}, **changes}
    path = folder / "phone.json"
    path.write_text(json.dumps(content))
    return path


def test_photos_come_with_their_bytes(tmp_path: Path) -> None:
    taken = {"job": JOB, "id": str(uuid4()), "content": base64.b64encode(b"bytes").decode()}
    (kept,) = read_saved(file(tmp_path, photos=[taken]))["photos"]
    assert (kept["content"], str(kept["job"])) == (b"bytes", JOB)


def test_what_is_wrong_is_named_by_its_place(tmp_path: Path) -> None:
    broken = {"job": JOB, "id": str(uuid4()), "content": "no base64!"}
    for changes, pointer in (
        ({"photos": [broken]}, "/photos/0/content"),
        ({"format": "x"}, "/format"),
    ):
        with pytest.raises(InvalidInput) as refused:
            read_saved(file(tmp_path, **changes))
        assert [fault.pointer for fault in refused.value.faults] == [pointer]
    with pytest.raises(InvalidInput) as refused:
        read_entries([NOTE, {**NOTE, "kind": "nothing"}])
    assert refused.value.faults[0].pointer == "/entries/1/kind"
