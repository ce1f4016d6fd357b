"""Where the demo firm and its building lie."""

from pathlib import Path

FIRM = Path(__file__).parents[2] / "fixtures" / "demo"
BUILDING = FIRM / "building.json"
