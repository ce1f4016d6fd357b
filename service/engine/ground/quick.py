"""Frozen dataclasses that are made in about half the time: a building's takeoff has thousands of them.

A frozen dataclass sets each of its fields by a call past its own `__setattr__`, and that is
most of what making one costs. Here an instance is filled while it is of a class that has the
same slots and no such method; it is of its own, frozen class before anybody sees it.
"""

from dataclasses import MISSING, Field, fields
from typing import Any, TypeVar

Made = TypeVar("Made")


def quick(kind: type[Made]) -> type[Made]:
    """A decorator above `dataclass(frozen=True, slots=True)`: the same class, made faster.

    Raises TypeError for a class that inherits fields, has one that a factory fills, or takes
    some of them by name only and others not.
    """
    own: tuple[Field[Any], ...] = fields(kind)  # type: ignore[arg-type]
    names = tuple(field.name for field in own)
    named = {field.kw_only for field in own}
    made_up = any(field.default_factory is not MISSING for field in own)
    if kind.__slots__ != names or made_up or len(named) > 1:  # type: ignore[attr-defined]
        raise TypeError(kind)
    made = _init(kind, names, "self, *" if named.pop() else "self")
    defaults = {field.name: field.default for field in own if field.default is not MISSING}
    made.__kwdefaults__, made.__defaults__ = defaults, tuple(defaults.values())
    made.__annotations__ = kind.__init__.__annotations__
    kind.__init__ = made  # type: ignore[method-assign]
    return kind


def _init(kind: type, names: tuple[str, ...], first: str) -> Any:
    """What sets the fields, written out as `dataclass` writes its own."""
    lines = [f"self.{name} = {name}" for name in names]
    body = "\n    ".join(["change(self, '__class__', Open)", *lines, "self.__class__ = Kind"])
    scope = {
        "change": object.__setattr__,
        "Kind": kind,
        "Open": type(kind.__name__, (), {"__slots__": names}),
    }
    exec(f"def __init__({', '.join((first, *names))}):\n    {body}", scope)  # noqa: S102 - names of fields only
    return scope["__init__"]
