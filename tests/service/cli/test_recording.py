"""What is recorded at a desk: a phone's file, and a day without phones."""

import base64
import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from click.testing import CliRunner

from service.app import create_app
from service.cli.main import main
from service.settings import Settings
from tests.api import Api, small_building
from tests.commands import baywright
from tests.phones import ledger
from tests.pictures import photo, pixels


@pytest.fixture(scope="module")
def api(home: Path) -> Iterator[Api]:
    """The API on the database of the command line."""
    url = f"sqlite:///{home}/baywright/baywright.sqlite3"
    app = create_app(Settings(database_url=url, secret_key="a secret for the tests only"))
    yield Api(app)
    app.extensions["database"].dispose()


def note(remark: str) -> dict[str, Any]:
    moment = "2026-11-25T08:00:00+01:00"
    return {"kind": "note", "id": str(uuid4()), "happened_at": moment, "by": "Alex", "remark": remark}


def saved(path: Path, jobs: dict[str, Any], *photos: dict[str, Any], **more: Any) -> str:
    content = {"format": "baywright-entries-1", "jobs": jobs, "photos": photos, **more}
    path.write_text(json.dumps(content))
    return str(path)


def test_a_phone_s_file_is_posted_once_however_often_it_is(home: Path, tmp_path: Path, api: Api) -> None:
    job = api.job(small_building())
    niche = {**small_building()["cavities"][0], "label": "Niche"}
    proposed = {job["id"]: [{"id": str(uuid4()), "by": "Alex", "cavities": [niche]}]}
    one, two = {**note("from the file"), "cavity": "Niche"}, note("had arrived")
    assert api.record(job, [two]).status_code == 201
    taken = {"job": job["id"], "id": str(uuid4()), "content": base64.b64encode(photo()).decode()}
    file = saved(tmp_path / "phone.json", {job["id"]: [one, two]}, taken, supplements=proposed)
    key = api.key("installer")
    assert "2 entries, 1 of them known before." in baywright(home, "entries", "add", file, key=key)
    assert "2 entries, 2 of them known before." in baywright(home, "entries", "add", file, key=key)
    assert [each["id"] for each in ledger(api, job)] == [two["id"], one["id"]]
    (kept,) = api.send("GET", f"/v1/jobs/{job['id']}/photos").json["photos"]
    assert kept["id"] == taken["id"]


def test_a_wrong_file_or_a_wrong_key_records_nothing_and_says_why(
    home: Path, tmp_path: Path, api: Api
) -> None:
    job = api.job(small_building())
    key, file = api.key("installer"), tmp_path / "wrong.json"
    wrong = {**note("x"), "kind": "nothing"}
    said = baywright(home, "entries", "add", saved(file, {job["id"]: [wrong]}), key=key, code=1)
    assert f"/jobs/{job['id']}" in said
    assert "/0/kind" in said
    taken = {"job": job["id"], "id": str(uuid4()), "content": "no base64!"}
    said = baywright(home, "entries", "add", saved(file, {job["id"]: [note("x")]}, taken), key=key, code=1)
    assert said.startswith("/photos/0/content: ")
    good = saved(file, {job["id"]: [note("x")]})
    for another in (api.key("sales"), "bw_no_key"):
        assert baywright(home, "entries", "add", good, key=another, code=1)
    assert ledger(api, job) == []


def test_what_is_refused_of_a_file_is_told_by_its_place_in_it(home: Path, tmp_path: Path, api: Api) -> None:
    """Of several jobs and in batches: the place in a batch was told, and no job."""
    one, two = api.job(small_building()), api.job(small_building())
    core = {**note("x"), "kind": "core", "cavity": "GF-N", "bay": 99, "mass_g": 172, "feel": "firm"}
    core = {name: value for name, value in core.items() if name != "remark"} | {"length_mm": 360}
    file = saved(tmp_path / "two.json", {one["id"]: [note("x")], two["id"]: [note("y"), note("z"), core]})
    said = baywright(home, "entries", "add", file, key=api.key("installer"), code=1, entry_limit="2")
    assert said.startswith(f"/jobs/{two['id']}/2/bay: ")


def test_a_day_without_phones_is_typed_in_the_evening(home: Path, tmp_path: Path, api: Api) -> None:
    job = api.job(small_building())
    picture = tmp_path / "south wall.jpg"
    picture.write_bytes(photo())
    points = job["takeoff"]["hold_points"]
    wall = api.send("GET", f"/v1/jobs/{job['id']}/working").json["takeoff"]["cavities"][0]
    typed = ["Alex", "2026-11-24", "07:00", "16:30", *answers(points, "before")]
    typed += ["41,5", "0", "", "L-1", "18", "j"]
    for _ in wall["fill_plan"]["proof"]["sampled_bays"]:
        typed += ["172", "f", "j"]
    typed += ["360", f"'{picture}'", "die Abklebungen"]
    typed += ["96", "0", "", "455 460 465 458 462 460", "12", ""]
    typed += [wall["label"], "m", "Nische", "Stiege", "1,2", "=", "=", "=", "=", "n", "", ""]
    typed += ["140", "L-1", "2.5", "0", "", "2", "8", "", *answers(points, "after"), "j"]
    environment = {"XDG_DATA_HOME": str(home), "HOME": str(home), "BAYWRIGHT_KEY": api.key("installer")}
    environment |= {"LC_ALL": "de_AT.UTF-8"}
    done = CliRunner().invoke(main, ["tally", job["number"]], input="\n".join(typed) + "\n", env=environment)
    assert done.exit_code == 0, done.output
    found = Counter(each["kind"] for each in ledger(api, job))
    assert found["tally"] == 2
    assert found["core"] == len(wall["fill_plan"]["proof"]["sampled_bays"])
    assert {"checks": 2, "found": 1, "delivery": 2, "reclaimed": 1, "hours": 1}.items() <= found.items()
    (kept,) = api.send("GET", f"/v1/jobs/{job['id']}/photos").json["photos"]
    assert (kept["cavity"], kept["caption"]) == (wall["label"], "die Abklebungen")
    (proposed,) = api.send("GET", f"/v1/jobs/{job['id']}/supplements").json["items"]
    assert (proposed["by"], proposed["parts"]) == ("Alex", ["Nische"])
    assert f"{job['number']} --part" in done.output
    assert "Einträge, davon vorher bekannt: 0." in done.output
    assert "entries" not in done.output
    unmet = api.send("GET", f"/v1/jobs/{job['id']}/assessment").json["unmet"]
    assert {each["code"] for each in unmet} <= {
        "depth_check_missing",
        "markers_missing",
        "stock_unreconciled",
        # Of the part that was proposed.
        "part_not_accepted",
        "fill_missing",
        "holes_unaccounted",
        "samples_missing",
        "hold_point_open",
    }


AT = ["", "", "5", "0", "", "300 310"]
"""What is typed of the attic alone, up to its markers."""


def typed_of_the_attic(home: Path, api: Api, job: Any, *typed: str, part: str = "AT") -> Any:
    """What the command ended with, for these words of the attic alone."""
    environment = {"XDG_DATA_HOME": str(home), "HOME": str(home), "BAYWRIGHT_KEY": api.key("installer")}
    words = ["tally", job["number"], "--part", part, "--language", "en"]
    lines = ["Alex", "2026-11-24", "07:00", "16:30", *typed]
    return CliRunner().invoke(main, words, input="\n".join(lines) + "\n", env=environment)


@pytest.mark.parametrize("left_over", ["200000", None], ids=["refused", "broken off"])
def test_what_was_typed_is_kept_when_it_is_refused_or_broken_off(
    home: Path, tmp_path: Path, api: Api, monkeypatch: pytest.MonkeyPatch, left_over: str | None
) -> None:
    monkeypatch.chdir(tmp_path)
    job = api.job(small_building())
    (tmp_path / "roof.jpg").write_bytes(photo())
    typed = [*AT, "3", "roof.jpg", "the roof", "AT", "n", "", "", ""]
    typed += [left_over, "", "", "", "", "", "", "y"] if left_over else []
    done = typed_of_the_attic(home, api, job, *typed)
    assert done.exit_code == 1
    assert ledger(api, job) == []
    assert api.send("GET", f"/v1/jobs/{job['id']}/supplements").json["items"] == []
    (file,) = tmp_path.glob("*.json")
    assert f"baywright entries add {file.name}" in done.output
    if left_over:
        assert "/entries/2/left_over" in done.output
        file.write_text(file.read_text().replace("200000", "20"))
    added = baywright(home, "entries", "add", str(file), key=api.key("installer"))
    assert f"{3 if left_over else 2} entries, 0 of them known before." in added
    kinds = {each["kind"] for each in ledger(api, job)}
    assert {"tally", "depth_check"} <= kinds
    (kept,) = api.send("GET", f"/v1/jobs/{job['id']}/photos").json["photos"]
    assert (kept["cavity"], kept["caption"]) == ("AT", "the roof")


def test_who_has_a_photo_alone_says_that_alone(
    home: Path, tmp_path: Path, api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    job = api.job(small_building())
    pixels().save(tmp_path / "roof.png")
    done = typed_of_the_attic(home, api, job, *[""] * 4, "roof.png", *[""] * 11, "y")
    assert done.exit_code == 0, done.output
    assert len(api.send("GET", f"/v1/jobs/{job['id']}/photos").json["photos"]) == 1
    assert not list(tmp_path.glob("*.json"))


def test_a_part_that_the_job_does_not_have_is_named(home: Path, api: Api) -> None:
    done = typed_of_the_attic(home, api, api.job(small_building()), part="Attic")
    assert done.exit_code == 2
    assert "There is no part Attic. One of these: GF-N, AT" in done.output


def answers(points: list[Any], stage: str) -> list[str]:
    """What is typed at hold points: the general ones first, then each of the others."""
    of_stage = [each for each in points if each["stage"] == stage]
    general = {each["code"]: each for each in of_stage if not each["single"] and not each["reading"]}
    typed = ["i"] * len(general)
    for point in of_stage:
        if point["code"] not in general:
            reading = "22" if point["reading"] and point["reading"]["unit"] == "kPa" else "14"
            typed += ["i", reading] if point["reading"] else ["i"]
    return typed
