"""What the annotations of a dataclass's field say, for schemas: type, unit, range and meaning.

`described_by` gives a schema that is written by hand, for what comes in, the meanings of the
dataclass that it is read into, so that these are said once too.
"""

from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, fields, replace
from types import NoneType, UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from marshmallow import Schema

from service.engine.ground.shapes import Range, Unit, described

Kind = TypeVar("Kind", bound=type[Schema])
ANY = Range()
POSTED: dict[type, type[Schema]] = {}
"""The schemas of what is posted, by the dataclass that it becomes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A field's type without its annotations, and what these say of it."""

    kind: Any
    unit: Unit | None = None
    range: Range = ANY
    meaning: str = ""
    nullable: bool = False

    @property
    def members(self) -> "Shape | None":
        """What a list is made of; None for anything else."""
        return shape_of(get_args(self.kind)[0]) if get_origin(self.kind) in (tuple, list) else None

    @property
    def description(self) -> str:
        """The meaning with its unit, as the OpenAPI document has it."""
        members = self.members
        unit = self.unit or (members and members.unit)
        symbol = unit.symbol if unit else ""
        return f"{self.meaning} ({symbol})" if self.meaning and symbol else self.meaning


def shape_of(hint: Any) -> Shape:
    """What an annotated type says; of two meanings or units the outer one holds."""
    if get_origin(hint) is Annotated:
        inner, *said = get_args(hint)
        return _told(shape_of(inner), said)
    if get_origin(hint) in (Union, UnionType):
        members = [member for member in get_args(hint) if member is not NoneType]
        if len(members) == 1:
            return replace(shape_of(members[0]), nullable=True)
    return Shape(kind=hint)


def _told(shape: Shape, said: list[Any]) -> Shape:
    for each in said:
        match each:
            case Unit():
                shape = replace(shape, unit=each)
            case Range():
                shape = replace(shape, range=each)
            case str():
                shape = replace(shape, meaning=each)
    return shape


def shapes(kind: type) -> Mapping[str, Shape]:
    """The shapes of a dataclass's fields by name."""
    return {name: shape_of(hint) for name, hint in described(kind).items()}


def left_out(kind: type) -> frozenset[str]:
    """The fields of a dataclass that need not be given."""
    return frozenset(
        field.name
        for field in fields(kind)
        if field.default is not MISSING or field.default_factory is not MISSING
    )


def described_by(kind: type) -> Callable[[Kind], Kind]:
    """Describe a schema's fields by those of the dataclass that what it reads becomes.

    Where such a dataclass stands in an answer, it is shown by this schema, unchanged.
    """

    def decorate(schema: Kind) -> Kind:
        POSTED[kind] = schema
        for name, shape in shapes(kind).items():
            field = schema._declared_fields.get(name)
            if field and shape.description:
                field.metadata = {"description": shape.description, **field.metadata}
        return schema

    return decorate
