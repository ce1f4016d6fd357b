"""Site entries: what a crew says, a schema for each kind, made from the kind's declaration in the engine."""

from collections.abc import Mapping
from typing import Any, ClassVar

from marshmallow import Schema, ValidationError, fields, validate

from schemas.fields import Moment, Place, Several, label
from schemas.kinds import fields_from, schema_from
from schemas.wrong import NO_CHOICE, wrong
from service.engine.ground.messages import message
from service.engine.ground.shapes import described
from service.engine.site.entries import KINDS as DECLARED
from service.engine.site.entries import Correction, Found, Tally
from service.engine.site.entry import Entry
from service.engine.site.holes_told import HolesMade, Patched

SERVERS = frozenset({"received_at", "position"})
AS_PLANNED, ALL = "as_planned", "all"
MOST_AT_ONCE = 10_000


class WordOr(fields.Field[Any]):
    """A word that says it all, or an object that says what differs."""

    def __init__(self, word: str, kind: type[Schema], **options: Any) -> None:
        super().__init__(**options)
        self.word, self.kind = word, kind
        self._object = fields.Nested(kind)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **_options: Any) -> Any:
        if value == self.word and isinstance(value, str):
            return value
        if isinstance(value, str):
            raise wrong(message("schemas.word_or_object", word=self.word))
        return self._object.deserialize(value, attr, data)


class OneOrSeveral(Several):
    """Several of a kind; one alone may stand without its list."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> list[Any]:
        return super()._deserialize(value if isinstance(value, list) else [value], attr, data, **options)


def _special(declared: type[Entry]) -> dict[str, fields.Field[Any]]:
    """What JSON says otherwise than the dataclass does."""
    if declared is Tally:
        told = {name: described(Tally)[name].__metadata__[-1] for name in ("holes", "patched")}
        return {
            "holes": WordOr(AS_PLANNED, schema_from(HolesMade), metadata={"description": told["holes"]}),
            "patched": WordOr(ALL, schema_from(Patched), metadata={"description": told["patched"]}),
        }
    if declared is Found:
        depths = fields_from(Found)["depth_mm"]
        assert isinstance(depths, Several)
        return {"depth_mm": OneOrSeveral(depths.inner, least=1, most=depths.most, metadata=depths.metadata)}
    return {}


def schema_of(kind: str, declared: type[Entry], *, named: bool = True) -> type[Schema]:
    """The schema of a kind of entry; what takes the place of an entry is not `named` by an id of its own."""
    own: dict[str, Any] = fields_from(declared, without=SERVERS if named else SERVERS | {"id"})
    own["kind"] = fields.String(
        required=True, validate=validate.OneOf([kind]), metadata={"description": "what kind of entry it is"}
    )
    name = f"{declared.__name__}Entry" if named else f"{declared.__name__}Replacement"
    return type(name, (Schema,), {**own, **_special(declared), "__doc__": declared.__doc__})


KINDS = {kind: schema_of(kind, declared) for kind, declared in DECLARED.items()}
REPLACEMENTS = {kind: schema_of(kind, declared, named=False) for kind, declared in DECLARED.items()}


class EntryField(fields.Field[dict[str, Any]]):
    """An entry, read by the schema of its kind."""

    def __init__(self, kinds: Mapping[str, type[Schema]], **options: Any) -> None:
        super().__init__(**options)
        self.kinds = kinds

    def _deserialize(self, value: Any, attr: str | None, data: Any, **_options: Any) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise wrong(message("schemas.no_object"))
        kind = value.get("kind")
        if not isinstance(kind, str) or kind not in self.kinds:
            raise ValidationError({"kind": [NO_CHOICE.format(choices=", ".join(self.kinds))]})
        loaded: dict[str, Any] = self.kinds[kind]().load(value)
        return loaded


class CorrectionEntry(schema_of("correction", Correction)):  # type: ignore[misc]
    """An entry that was wrong, why, and the entry that takes its place, if any."""

    replacement = EntryField(
        REPLACEMENTS,
        allow_none=True,
        metadata={"description": "What takes its place; left out or null: it is struck."},
    )


class Batch(Schema):
    """Entries that are stored together or not at all."""

    ALL_KINDS: ClassVar[dict[str, type[Schema]]] = {**KINDS, "correction": CorrectionEntry}

    entries = Several(
        EntryField(ALL_KINDS),
        least=1,
        most=MOST_AT_ONCE,
        required=True,
        metadata={"description": "Site entries, all or none of which are stored."},
    )


class EntryQuery(Schema):
    """Which entries are asked for."""

    after = Place(metadata={"description": "only those that were committed after the one at this position"})


class StoredEntry(Schema):
    """An entry as it was stored."""

    id = fields.UUID(metadata={"description": "The entry's id, made where it was recorded."})
    position = fields.Integer(metadata={"description": "Its place in the job's ledger, from 1."})
    kind = fields.String(metadata={"description": "What was recorded."})
    happened_at = Moment(metadata={"description": "When it happened on site."})
    by = label(metadata={"description": "Who recorded it."})
    received_at = Moment(metadata={"description": "When the service received it."})
    clock_doubtful = fields.Boolean(
        metadata={"description": "Whether the clock that it was recorded by may have been wrong."}
    )
    corrected_by = fields.String(
        allow_none=True, metadata={"description": "Id of the entry that corrects it; null where none does."}
    )
    data = fields.Dict(metadata={"description": "What was recorded, as it was posted."})


class Ledger(Schema):
    """A job's entries in the order in which they were committed."""

    entries = fields.List(
        fields.Nested(StoredEntry), metadata={"description": "In the order in which they were committed."}
    )
