"""A place for the databases of the command line."""

import shutil
from pathlib import Path

import pytest

from tests.api import load_firms


@pytest.fixture(scope="module")
def home(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of the module's own with a database in it, where the demo firm is loaded."""
    home = tmp_path_factory.mktemp("home")
    (home / "baywright").mkdir()
    path = home / "baywright" / "baywright.sqlite3"
    shutil.copyfile(sqlite_template, path)
    load_firms(f"sqlite:///{path}")
    return home
