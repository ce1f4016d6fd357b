"""Settings, schema, backup and check from the command line."""

from pathlib import Path

import pytest

from tests.commands import DEMO, baywright
from tests.objects import SECRET, ObjectStore


def test_settings_are_listed_with_their_meaning(home: Path) -> None:
    said = baywright(home, "settings")
    assert "BAYWRIGHT_DATABASE_URL" in said
    assert "(set)" in said


def test_a_schema_is_made_and_then_left_as_it_is(tmp_path: Path) -> None:
    assert baywright(tmp_path, "migrate") == baywright(tmp_path, "migrate") == "The schema is at 0001.\n"


def test_a_backup_is_written_beside_the_running_service(home: Path, tmp_path: Path) -> None:
    target = tmp_path / "backup.sqlite3"
    assert str(target) in baywright(home, "backup", str(target))
    assert "0 faults" in baywright(home, "check", database_url=f"sqlite:///{target}")
    assert "already" in baywright(home, "backup", str(target), code=1)


@pytest.mark.parametrize(
    "words",
    [("check",), ("sweep",), ("tasks",), ("keys", "list"), ("backup", "b"), ("work",), ("load", DEMO)],
)
def test_where_there_is_no_database_none_is_made(tmp_path: Path, words: tuple[str, ...]) -> None:
    url = f"sqlite:///{tmp_path / 'elsewhere.sqlite3'}"
    said = baywright(tmp_path, *words, code=1, database_url=url, secret_key=SECRET)
    assert "There is no database" in said
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("content", "words"), [(b"", "There is no database"), (b"no database of SQLite" * 99, "not a database")]
)
def test_what_is_no_database_is_not_backed_up(tmp_path: Path, content: bytes, words: str) -> None:
    file = tmp_path / "a.sqlite3"
    file.write_bytes(content)
    settings = {"database_url": f"sqlite:///{file}", "secret_key": SECRET}
    assert words in baywright(tmp_path, "backup", str(tmp_path / "b"), code=1, **settings)
    assert [path.name for path in tmp_path.iterdir()] == ["a.sqlite3"]


def test_an_empty_database_checks_out(home: Path) -> None:
    assert "0 faults" in baywright(home, "check")


def test_sweeping_tells_how_much_it_swept(home: Path) -> None:
    assert baywright(home, "sweep").strip() == "0 answers deleted."


def test_objects_are_moved_checked_and_swept_and_the_secret_is_not_shown(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said = baywright(home, "objects", "move", code=1)
    assert "BAYWRIGHT_OBJECTS_URL" in said
    store = ObjectStore(tmp_path)
    for name, value in store.environment.items():
        monkeypatch.setenv(name, value)
    store.start()
    for way in ([], ["--back"]):
        assert baywright(home, "objects", "move", *way) == "0 moved, 0 bytes; 0 left where they are.\n"
    assert "0 objects deleted" in baywright(home, "sweep")
    assert "0 faults" in baywright(home, "check")
    shown = baywright(home, "settings")
    assert store.url in shown
    assert SECRET not in shown
    store.stop()
    assert "object store" in baywright(home, "sweep", code=1)
    assert "Traceback" not in baywright(home, "sweep", code=1)
