"""What a calculation made on the way, kept for who asks how its figures came about."""

from typing import Any, TypeVar, cast

Kind = TypeVar("Kind")


class Working:
    """Handed to a calculation by who wants its working; where nobody does, nothing is kept.

    A calculation keeps what it makes anyway and would throw away: one of each kind.
    """

    __slots__ = ("_kept",)

    def __init__(self) -> None:
        self._kept: dict[type, Any] = {}

    def keep(self, made: object) -> None:
        """Keep something made on the way."""
        self._kept[type(made)] = made

    def of(self, kind: type[Kind]) -> Kind:
        """What was kept of this kind; it was made wherever the figure that asks for it was."""
        return cast(Kind, self._kept[kind])
