"""What a calculation has found already and finds again: the cavities of a building have much in common."""

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

Found = TypeVar("Found")


class Known:
    """Handed from one cavity to the next while everything else that a result depends on stays the same."""

    __slots__ = ("_found",)

    def __init__(self) -> None:
        self._found: dict[Hashable, Any] = {}

    def of(self, key: Hashable, work_out: Callable[[], Found]) -> Found:
        """What was found for the key, by its first asker; the same key is always of the same thing."""
        found: Found
        try:
            found = self._found[key]
        except KeyError:
            found = self._found[key] = work_out()
        return found
