"""The command line, run as a person would."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from service.app import create_app
from service.settings import Settings
from tests.api import Api

ROOT = Path(__file__).parents[3]


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of the module's own for the database."""
    return tmp_path_factory.mktemp("home")


def baywright(home: Path, *words: str, code: int = 0, **settings: str) -> str:
    """What a command prints; it must end with `code`."""
    environment = {"XDG_DATA_HOME": str(home), "PATH": "/usr/bin:/bin", "HOME": str(home)}
    environment |= {f"BAYWRIGHT_{name.upper()}": value for name, value in settings.items()}
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


def test_a_key_is_rotated_at_once_or_with_a_grace(home: Path) -> None:
    def state_of(prefix: str) -> str:
        return next(line for line in baywright(home, "keys", "list").splitlines() if line.startswith(prefix))

    first = baywright(home, "keys", "add", "--firm", "demo", "--role", "sales").strip()
    second = baywright(home, "keys", "rotate", first.split("_")[1], "--grace", "24").strip()
    third = baywright(home, "keys", "rotate", second.split("_")[1]).strip()
    states = [state_of(key.split("_")[1]) for key in (first, second, third)]
    assert ["in force" in state for state in states] == [True, False, True]
    assert all("sales" in state and "used never" in state for state in states)
    assert "No key in force" in baywright(home, "keys", "rotate", second.split("_")[1], code=1)


def test_a_backup_is_written_beside_the_running_service(home: Path, tmp_path: Path) -> None:
    target = tmp_path / "backup.sqlite3"
    assert str(target) in baywright(home, "backup", str(target))
    assert "0 faults" in baywright(home, "check", database_url=f"sqlite:///{target}")
    assert "already" in baywright(home, "backup", str(target), code=1)


def test_a_wrong_file_names_its_field(home: Path, tmp_path: Path) -> None:
    path = tmp_path / "wrong.json"
    path.write_text('{"practice": "eu", "cavities": [{"label": 5}]}')
    said = baywright(home, "takeoff", str(path), code=1)
    assert "wrong.json#/cavities/0/label" in said
    path.write_text("{")
    assert "not JSON" in baywright(home, "takeoff", str(path), code=1)


def test_an_empty_database_checks_out(home: Path) -> None:
    assert "0 faults" in baywright(home, "check")


def test_sweeping_tells_how_much_it_swept(home: Path) -> None:
    assert baywright(home, "sweep").strip() == "0 answers deleted."


def test_a_job_is_exported_and_comes_back_in_another_database(home: Path, tmp_path: Path) -> None:
    baywright(home, "migrate")
    baywright(home, "load", "fixtures/demo")
    url = f"sqlite:///{home}/baywright/baywright.sqlite3"
    app = create_app(Settings(database_url=url, secret_key="a secret for the tests only"))
    job = Api(app).job()
    app.extensions["database"].dispose()
    archive, again = tmp_path / "job.zip", tmp_path / "again.zip"
    assert job["number"] in baywright(home, "export", job["number"], "--firm", "demo", str(archive))
    assert "is there already" in baywright(
        home, "export", job["number"], "--firm", "demo", str(archive), code=1
    )
    assert "no job J-1" in baywright(home, "export", "J-1", "--firm", "demo", str(again), code=1)
    assert not again.exists()
    baywright(tmp_path, "migrate")
    damaged = tmp_path / "damaged.zip"
    damaged.write_bytes(archive.read_bytes().replace(b"%PDF-", b"%PDF+", 1))
    assert "damaged" in baywright(tmp_path, "import", str(damaged), code=1)
    assert "0 quotes" in baywright(tmp_path, "check")
    assert f"{job['number']} of demo is here" in baywright(tmp_path, "import", str(archive))
    assert "1 quotes, 0 certificates, 2 files checked; 0 faults" in baywright(tmp_path, "check")
    assert "already" in baywright(tmp_path, "import", str(archive), code=1)
    baywright(tmp_path, "export", job["number"], "--firm", "demo", str(again))
    assert again.read_bytes() == archive.read_bytes()


def test_settings_are_listed_with_their_meaning(home: Path) -> None:
    said = baywright(home, "settings")
    assert "BAYWRIGHT_DATABASE_URL" in said
    assert "(set)" in said


def test_serving_an_unmigrated_database_is_refused(tmp_path: Path) -> None:
    assert "baywright migrate" in baywright(tmp_path, "serve", "--port", "0", code=1)


def test_a_signing_key_to_try_out_and_a_server_that_refuses_a_wrong_one(home: Path, tmp_path: Path) -> None:
    signing = {"signing_folder": str(tmp_path), "signing_password": "for the tests only"}
    assert "nobody but itself vouches" in baywright(home, "signing-key", "demo", **signing)
    assert "stays as it is" in baywright(home, "signing-key", "demo", code=1, **signing)
    assert "for the tests only" not in baywright(home, "settings", **signing)
    signing["signing_password"] = "another one"
    said = baywright(home, "serve", "--port", "0", code=1, **signing)
    assert said.startswith("Signing key demo.p12 is no PKCS#12 file that the signing password opens.")
