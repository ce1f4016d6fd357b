"""The command line, run as a person would."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of the module's own for the database."""
    return tmp_path_factory.mktemp("home")


def baywright(home: Path, *words: str, code: int = 0) -> str:
    """What a command prints; it must end with `code`."""
    environment = {"XDG_DATA_HOME": str(home), "PATH": "/usr/bin:/bin", "HOME": str(home)}
    done = subprocess.run(
        [sys.executable, "-m", "service.cli", *words],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == code, done.stderr
    assert "Traceback" not in done.stderr
    return done.stdout if code == 0 else done.stderr


def test_from_nothing_to_a_takeoff(home: Path) -> None:
    assert "0001" in baywright(home, "migrate")
    assert "demo" in baywright(home, "load", "fixtures/demo")
    assert " 0 new" in baywright(home, "load", "fixtures/demo")
    table = baywright(home, "takeoff", "fixtures/demo/building.json")
    assert table.splitlines()[0].split()[0] == "cavity"
    answer = json.loads(baywright(home, "takeoff", "fixtures/demo/building.json", "--json"))
    assert f"{answer['price']['total']} EUR" in table
    assert len(table.splitlines()) >= len(answer["cavities"]) + 4


def test_a_key_is_printed_once_and_alone(home: Path) -> None:
    key = baywright(home, "keys", "add", "--firm", "demo", "--role", "sales", "--role", "office").strip()
    assert "\n" not in key
    listed = baywright(home, "keys", "list")
    prefix = key.split("_")[1]
    assert prefix in listed
    assert key not in listed
    baywright(home, "keys", "revoke", prefix)
    assert "revoked" in baywright(home, "keys", "list")
    assert "No key" in baywright(home, "keys", "revoke", prefix, code=1)


def test_a_wrong_file_names_its_field(home: Path, tmp_path: Path) -> None:
    path = tmp_path / "wrong.json"
    path.write_text('{"practice": "eu", "cavities": [{"label": 5}]}')
    said = baywright(home, "takeoff", str(path), code=1)
    assert "wrong.json#/cavities/0/label" in said
    path.write_text("{")
    assert "not JSON" in baywright(home, "takeoff", str(path), code=1)


def test_an_empty_database_checks_out(home: Path) -> None:
    assert "0 faults" in baywright(home, "check")


def test_settings_are_listed_with_their_meaning(home: Path) -> None:
    said = baywright(home, "settings")
    assert "BAYWRIGHT_DATABASE_URL" in said
    assert "(set)" in said


def test_serving_an_unmigrated_database_is_refused(tmp_path: Path) -> None:
    assert "baywright migrate" in baywright(tmp_path, "serve", "--port", "0", code=1)
