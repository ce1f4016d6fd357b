"""The files of this checkout that a test goes through: none found is a fault of the test, not a pass."""

from pathlib import Path

ROOT = Path(__file__).parents[1]


def files(folder: Path, pattern: str) -> list[Path]:
    """The files of a folder that a pattern finds, in order; raises when there is none."""
    found = sorted(folder.glob(pattern))
    assert found, f"{folder} has no {pattern}: was it moved?"
    return found


def modules(*folders: str) -> list[Path]:
    """The modules of these folders of the checkout."""
    return [path for folder in folders for path in files(ROOT / folder, "**/*.py")]
