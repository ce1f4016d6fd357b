"""docker/now-and-then, as the timers start it, on a database of SQLite."""

import os
import shutil
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from tests.api import load_firms
from tests.sources import ROOT

SCRIPT = ROOT / "docker" / "now-and-then"


class Night:
    """A folder with a database, what is kept of it, and the figures."""

    def __init__(self, folder: Path) -> None:
        self.data, self.keep, self.figures = folder / "data", folder / "keep", folder / "figures"
        self.database = self.data / "baywright" / "baywright.sqlite3"

    def run(self, *words: str, **settings: str) -> subprocess.CompletedProcess[str]:
        """Run the script with these words."""
        environment = self._environment | settings
        return subprocess.run([SCRIPT, *words], env=environment, capture_output=True, text=True)

    def start(self, *words: str) -> subprocess.Popen[bytes]:
        """The script at its work."""
        return subprocess.Popen([SCRIPT, *words], env=self._environment, stdout=subprocess.DEVNULL)

    @property
    def _environment(self) -> dict[str, str]:
        return {
            **os.environ,
            "PATH": f"{Path(sys.executable).parent}:{os.environ['PATH']}",
            "PYTHONPATH": str(ROOT),
            "XDG_DATA_HOME": str(self.data),
            "BAYWRIGHT_KEEP_FOLDER": str(self.keep),
            "BAYWRIGHT_FIGURES_FOLDER": str(self.figures),
        }

    def told(self) -> dict[str, float]:
        """The figures by their names, as a node exporter reads them."""
        lines = [line for path in self.figures.glob("*.prom") for line in path.read_text().splitlines()]
        return {name: float(value) for name, value in (line.rsplit(" ", 1) for line in lines)}

    def kept(self, name: str) -> list[Path]:
        """What is kept of a kind, oldest first."""
        return sorted(self.keep.glob(f"{name}-*"))


@pytest.fixture(scope="module")
def night(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Night:
    """A night after which two firms' records were kept, anchored, checked and swept."""
    made = Night(tmp_path_factory.mktemp("night"))
    made.database.parent.mkdir(parents=True)
    shutil.copyfile(sqlite_template, made.database)
    load_firms(f"sqlite:///{made.database}")
    done = made.run("backup", "anchor", "check", "sweep")
    assert done.returncode == 0, done.stderr
    assert "0 faults" in done.stdout
    assert "0 answers deleted" in done.stdout
    return made


def test_a_backup_is_a_whole_database_that_nobody_else_reads(night: Night) -> None:
    (backup,) = night.kept("backup")
    assert backup.stat().st_mode & 0o077 == 0
    with closing(sqlite3.connect(backup)) as copy:
        assert copy.execute("SELECT count(*) FROM firms").fetchone() == (2,)


def test_every_firm_is_anchored(night: Night) -> None:
    (anchors,) = night.kept("anchors")
    assert {path.name for path in anchors.iterdir()} == {"demo.json", "other.json"}


def test_how_each_ended_is_told(night: Night) -> None:
    told = night.told()
    for what in ("backup", "anchor", "check", "sweep"):
        assert told[f'baywright_nightly_failed{{what="{what}"}}'] == 0
        assert told[f'baywright_nightly_succeeded_seconds{{what="{what}"}}'] > 1_700_000_000
    assert all(path.stat().st_mode & 0o044 == 0o044 for path in night.figures.iterdir())


def test_a_check_that_finds_something_is_told_and_the_last_success_stays(night: Night) -> None:
    """The newest anchors speak of a certificate that this database has not got."""
    anchors = night.keep / "anchors-9999-01-01T000000Z"
    anchors.mkdir()
    before = night.told()['baywright_nightly_succeeded_seconds{what="check"}']
    anchor = next(night.kept("anchors")[0].glob("demo.json")).read_text()
    (anchors / "demo.json").write_text(anchor.replace('"count": 0', '"count": 1'))
    done = night.run("check")
    shutil.rmtree(anchors)
    assert done.returncode == 1
    assert "1 faults" in done.stdout
    assert night.told()['baywright_nightly_failed{what="check"}'] == 1
    assert night.told()['baywright_nightly_succeeded_seconds{what="check"}'] == before


def test_each_night_checks_the_next_part_of_the_bucket_and_the_same_again_where_it_failed(
    night: Night,
) -> None:
    def checked(**settings: str) -> tuple[int, str]:
        done = night.run("check", BAYWRIGHT_CHECK_PARTS="2", **settings)
        return done.returncode, (night.keep / "checked-part").read_text().strip()

    # After the last part comes the first.
    (night.keep / "checked-part").write_text("2\n")
    assert checked() == (0, "1")
    assert checked(XDG_DATA_HOME=str(night.data / "away")) == (1, "1")
    assert checked() == (0, "2")


def test_the_oldest_backups_go_and_one_that_fails_is_none(night: Night) -> None:
    for day in (1, 2, 3):
        (night.keep / f"backup-2026-01-0{day}T000000Z").write_bytes(b"old")
    assert night.run("backup", BAYWRIGHT_BACKUPS="2").returncode == 0
    before = night.kept("backup")
    assert len(before) == 2
    assert all(path.stat().st_size > 1_000 for path in before)
    done = night.run("backup", XDG_DATA_HOME=str(night.data / "nowhere"))
    assert done.returncode == 1
    assert night.kept("backup") == before
    assert night.told()['baywright_nightly_failed{what="backup"}'] == 1


def test_in_a_container_it_goes_on_until_it_is_stopped(night: Night) -> None:
    figure = night.figures / "sweep.prom"
    figure.unlink()
    running = night.start("daily", "sweep")
    for _ in range(300):
        if figure.exists():
            break
        time.sleep(0.1)
    assert figure.exists()
    assert running.poll() is None
    running.terminate()
    assert running.wait(timeout=20) == 0


def test_what_it_does_not_know_it_says(night: Night) -> None:
    assert night.run("tidy").returncode == night.run().returncode == night.run("daily").returncode == 2
