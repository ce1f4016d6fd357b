"""compose.yaml with a real engine, where that may be: see the script."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = Path(__file__).with_name("try")
CANNOT = 77
WITHIN_S = 1_800


@pytest.mark.slow
def test_the_whole_runs_in_containers_is_killed_and_restored() -> None:
    environment = os.environ | {"PYTHON": sys.executable}
    done = subprocess.run([SCRIPT], env=environment, capture_output=True, text=True, timeout=WITHIN_S)
    if done.returncode == CANNOT:
        pytest.skip(done.stderr.strip())
    assert done.returncode == 0, f"{done.stdout[-4000:]}\n{done.stderr[-4000:]}"
    assert "All of it holds." in done.stdout
