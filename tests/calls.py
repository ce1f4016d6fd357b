"""How many functions an act calls: what it takes, counted, and so the same on every machine."""

import sys
from collections import Counter
from collections.abc import Callable
from typing import Any

TAKEN_UP = ("call", "c_call")


def calls(act: Callable[[], object]) -> int:
    """Calls of functions, of built-in ones too, and each time that a generator goes on."""
    seen: Counter[str] = Counter()

    def note(_frame: Any, event: str, _argument: Any) -> None:
        seen[event] += 1

    before = sys.getprofile()
    sys.setprofile(note)
    try:
        act()
    finally:
        sys.setprofile(before)
    return sum(seen[event] for event in TAKEN_UP)
