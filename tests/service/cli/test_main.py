"""The command line as a whole: what it imports, and how a command ends when something is wrong."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.commands import DEMO, baywright

ROOT = Path(__file__).parents[3]
BUILDING = f"{DEMO}/building.json"
# Processor seconds of `--help`: 0.1 where this was written, 1.5 before it was lazy.
HELP_S = 0.25
SERVER = ("flask", "gunicorn", "alembic")
DOCUMENTS = ("weasyprint", "pyhanko", "PIL", "segno")
REPORT = """
import os, sys
from service.cli.main import main
try:
    main(sys.argv[1:])
except SystemExit as end:
    used = os.times()
    print(end.code, used.user + used.system, *sys.modules, file=sys.stderr)
"""


def ran(home: Path, *words: str) -> tuple[float, set[str]]:
    """Processor seconds of a command in a process of its own, and the modules that it imported."""
    environment = {"XDG_DATA_HOME": str(home), "HOME": str(home), "PATH": os.environ["PATH"]}
    done = subprocess.run(
        [sys.executable, "-c", REPORT, *words],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    code, seconds, *modules = done.stderr.split()
    assert code == "0"
    return float(seconds), {name.split(".")[0] for name in modules}


def test_help_imports_no_library_of_a_command_and_is_quick(tmp_path: Path) -> None:
    seconds, modules = ran(tmp_path, "--help")
    assert not modules & {*SERVER, *DOCUMENTS, "sqlalchemy", "marshmallow", "cattrs"}
    assert seconds < HELP_S


def test_a_takeoff_imports_neither_server_nor_documents_and_makes_no_database(tmp_path: Path) -> None:
    _, modules = ran(tmp_path, "takeoff", BUILDING)
    assert not modules & {"gunicorn", "alembic", *DOCUMENTS}
    assert list(tmp_path.rglob("*.sqlite3")) == []


def test_the_client_of_an_object_store_is_not_imported_where_none_is_named(tmp_path: Path) -> None:
    _, modules = ran(tmp_path, "migrate")
    assert "sqlalchemy" in modules
    assert "botocore" not in modules


def test_the_module_runs_as_the_command_does() -> None:
    done = subprocess.run([sys.executable, "-m", "service.cli", "--version"], cwd=ROOT, capture_output=True)
    assert done.stdout.startswith(b"baywright, version ")


@pytest.mark.parametrize(
    "words",
    [
        ("load", DEMO),
        ("keys", "list"),
        ("keys", "add", "--firm", "demo", "--role", "sales"),
        ("keys", "rotate", "12345678"),
        ("keys", "revoke", "12345678"),
        ("signing-key", "demo"),
        ("takeoff", BUILDING, "--firm", "demo"),
        ("export", "J-1", "job.zip", "--firm", "demo"),
        ("sweep",),
        ("check",),
        ("serve", "--port", "0"),
    ],
    ids=" ".join,
)
def test_a_database_without_its_tables_is_named_in_a_sentence(tmp_path: Path, words: tuple[str, ...]) -> None:
    assert "run `baywright migrate`" in baywright(tmp_path, *words, code=1)


@pytest.mark.parametrize("command", ["check", "migrate", "backup", "serve"])
@pytest.mark.parametrize(
    ("url", "sentence"),
    [
        ("a word", "BAYWRIGHT_DATABASE_URL is not the address"),
        ("mysql://host/name", "BAYWRIGHT_DATABASE_URL is not the address"),
        ("postgresql+psycopg2://host/name", "BAYWRIGHT_DATABASE_URL is not the address"),
        ("sqlite:////no/such/folder/file", "/no/such/folder"),
        ("postgresql+psycopg://baywright@127.0.0.1:1/none", "atabase|connection to server"),
    ],
    ids=["no URL", "another kind", "another driver", "no folder", "nobody answers"],
)
def test_a_wrong_database_is_named_in_a_sentence(
    tmp_path: Path, command: str, url: str, sentence: str
) -> None:
    words = [command, str(tmp_path / "file")] if command == "backup" else [command]
    settings = {"database_url": url, "secret_key": "a secret for the tests only"}
    said = baywright(tmp_path, *words, code=1, **settings)
    assert re.search(sentence, said)
    assert len(said.splitlines()) <= 2


def test_a_folder_or_a_role_that_there_is_not_is_named(home: Path) -> None:
    assert "does not exist" in baywright(home, "load", "/no/such/folder", code=2)
    said = baywright(home, "keys", "add", "--firm", "demo", "--role", "owner", code=2)
    assert "'owner' is not one of 'sales'" in said


def test_a_file_that_cannot_be_written_is_named(home: Path, tmp_path: Path) -> None:
    target = tmp_path / "no folder" / "backup.sqlite3"
    assert str(target.parent) in baywright(home, "backup", str(target), code=1)
