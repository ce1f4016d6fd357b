"""What docker/OPERATING.md says, with a real container engine and a real systemd, where that may be."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

CANNOT = 77
WITHIN_S = 1_800


@pytest.mark.slow
@pytest.mark.parametrize("script", ["try", "machine"])
def test_the_whole_runs_as_the_page_says_is_killed_and_restored(script: str) -> None:
    command, environment = Path(__file__).with_name(script), os.environ | {"PYTHON": sys.executable}
    done = subprocess.run(
        [command], env=environment, capture_output=True, text=True, errors="replace", timeout=WITHIN_S
    )
    if done.returncode == CANNOT:
        pytest.skip(done.stderr.strip())
    assert done.returncode == 0, f"{done.stdout[-4000:]}\n{done.stderr[-4000:]}"
    assert "All of it holds." in done.stdout
