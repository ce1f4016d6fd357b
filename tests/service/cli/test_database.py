"""Settings, schema, backup and check from the command line."""

from pathlib import Path

from tests.commands import baywright


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


def test_an_empty_database_checks_out(home: Path) -> None:
    assert "0 faults" in baywright(home, "check")


def test_sweeping_tells_how_much_it_swept(home: Path) -> None:
    assert baywright(home, "sweep").strip() == "0 answers deleted."
