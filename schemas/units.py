"""The unit of a posted figure: it stands at the end of what its field means, and nowhere else."""

import re
from typing import Any

from marshmallow import fields

SUFFIXES = {
    "mm": "mm",
    "m": "m",
    "m2": "m2",
    "m3": "m3",
    "km": "km",
    "kg": "kg",
    "g": "g",
    "h": "h",
    "kg/h": "kg_h",
    "kg/m3": "kg_m3",
    "kg/m2": "kg_m2",
    "W/mK": "w_mk",
    "m2K/W": "m2k_w",
    "deg": "deg",
    "mm2": "mm2",
    "%": "percent",
}
"""What a member's name ends with, by its unit."""
UNIT = re.compile(r".*?\s*\(([^()]+)\)", re.DOTALL)


def unit_of(field: fields.Field[Any]) -> str | None:
    """The unit that a field's description ends with, such as "(mm)"; None where that is no unit."""
    matched = UNIT.fullmatch(str(field.metadata.get("description", "")).rstrip("."))
    unit = matched[1] if matched else None
    return unit if unit in SUFFIXES or (unit and "/" in unit) else None
