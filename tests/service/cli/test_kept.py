"""What was typed is a file when it could not be recorded, and none when it was."""

from pathlib import Path
from uuid import uuid4

import click
import pytest

from service.api.saved_entries import read_saved
from service.cli.asking import Picture, Told
from service.cli.kept import kept
from service.cli.terminal import Terminal
from tests.pictures import photo


def told(folder: Path) -> Told:
    """A day of one note and its photo."""
    moment = "2026-11-24T08:00:00+01:00"
    said = {"kind": "note", "id": str(uuid4()), "happened_at": moment, "by": "Käthe", "remark": "x"}
    (folder / "a.jpg").write_bytes(photo())
    picture = Picture(id=str(uuid4()), path=folder / "a.jpg", cavity=None, caption="what it shows")
    return Told(entries=[said], photos=[picture])


def test_what_is_broken_off_can_be_posted_as_it_was_said(tmp_path: Path) -> None:
    day, job_id, file = told(tmp_path), uuid4(), tmp_path / "kept.json"
    with pytest.raises(click.Abort), kept(day, str(job_id), file, Terminal("de")):
        raise click.Abort
    saved = read_saved(file)
    assert [str(each["id"]) for each in saved["jobs"][job_id]] == [day.entries[0]["id"]]
    assert [each["content"] for each in saved["photos"]] == [photo()]


def test_nothing_is_kept_of_what_was_recorded_nor_of_nothing(tmp_path: Path) -> None:
    file = tmp_path / "kept.json"
    with kept(told(tmp_path), str(uuid4()), file, Terminal("en")):
        pass
    with pytest.raises(click.Abort), kept(Told(), str(uuid4()), file, Terminal("en")):
        raise click.Abort
    assert not file.exists()
