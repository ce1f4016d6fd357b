"""Frozen dataclasses that are made in about half the time: a building's takeoff has thousands of them.

A frozen dataclass sets each of its fields by a call past its own `__setattr__`, and that is
most of what making one costs. Here an instance is filled while it is of a class that has the
same slots and no such method; it is of its own, frozen class before anybody sees it.
"""

from collections.abc import Callable
from dataclasses import MISSING, Field, fields
from functools import partial
from typing import Any, ParamSpec, TypeVar

Made = TypeVar("Made")
Row = TypeVar("Row", bound=tuple[Any, ...])
Fields = ParamSpec("Fields")

_MAKERS: dict[Any, Any] = {}


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
    written = _written(kind, names, ("*",) if named.pop() else ())
    defaults = {field.name: field.default for field in own if field.default is not MISSING}
    for each in (written["init"], written["make"]):
        each.__kwdefaults__, each.__defaults__ = defaults, tuple(defaults.values())
        each.__annotations__ = kind.__init__.__annotations__
    kind.__init__ = written["init"]  # type: ignore[method-assign]
    _MAKERS[kind] = written["make"]
    return kind


def maker(kind: Callable[Fields, Made]) -> Callable[Fields, Made]:
    """What makes instances of a `quick` class where there are many: as calling it does, in half that time.

    A function's arguments are not put into a dictionary on their way, as those of a class are.
    """
    made: Callable[Fields, Made] = _MAKERS[kind]
    return made


def row(kind: type[Row]) -> Callable[[tuple[Any, ...]], Row]:
    """What makes a named tuple of a plain one, with all its fields in their order, where there are many.

    It takes half as long as naming the class: nothing is looked at.
    """
    return partial(tuple.__new__, kind)


def _written(kind: type, names: tuple[str, ...], first: tuple[str, ...]) -> dict[str, Any]:
    """What sets the fields, written out as `dataclass` writes its own: as a method, and as a function."""
    opened = type(kind.__name__, (), {"__slots__": names})
    scope = {"change": object.__setattr__, "Kind": kind, "Open": opened}
    lines = "".join(f"    self.{name} = {name}\n" for name in names) + "    self.__class__ = Kind\n"
    begun = "    change(self, '__class__', Open)\n"
    whole = (
        f"def init({', '.join(('self', *first, *names))}):\n{begun}{lines}"
        f"def make({', '.join((*first, *names))}):\n    self = Open()\n{lines}    return self\n"
    )
    exec(whole, scope)  # noqa: S102 - names of fields only
    return scope
