"""`python -m service.cli` is the command line."""

import subprocess
import sys

from tests.sources import ROOT


def test_the_package_runs_as_the_command_does() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "service.cli", "--help"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert "serve" in done.stdout
    assert done.stderr == ""


def test_a_command_that_there_is_not_ends_with_a_sentence() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "service.cli", "nothing"], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 2
    assert "No such command" in done.stderr
