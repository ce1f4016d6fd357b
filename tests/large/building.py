"""A large building: a terrace of the demo house, each part of a width of its own, as surveys have them."""

from collections.abc import Mapping
from typing import Any

from tests.api import building


def terrace(parts: int) -> Mapping[str, Any]:
    """A quote's body with so many parts, of the few build-ups that the demo house has."""
    house = building()["cavities"]
    return {**building(), "cavities": [_part(house, number) for number in range(parts)]}


def _part(house: list[Mapping[str, Any]], number: int) -> Mapping[str, Any]:
    at, place = divmod(number, len(house))
    part = {**house[place], "count": 1}
    return {**part, "label": f"{at + 1:03}-{part['label']}", "width_m": round(part["width_m"] + at / 1e4, 4)}
