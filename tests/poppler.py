"""Poppler's tools, which had no part in making the files."""

import shutil
import subprocess
from pathlib import Path


def poppler(tool: str, *arguments: str | Path) -> str:
    """What a tool says; raises RuntimeError when it is missing."""
    if shutil.which(tool) is None:
        raise RuntimeError(f"These tests need {tool} (on Debian: apt-get install poppler-utils).")
    return subprocess.run([tool, *arguments], capture_output=True, text=True, check=False).stdout
