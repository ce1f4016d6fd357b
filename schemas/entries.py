"""Site entries: what an installer records, one schema for each kind."""

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, ValidationError, fields, validate, validates_schema

from schemas.fields import Flag, Moment, Number, Several, Text, Whole, kilograms, label, millimetres, one_of
from service.engine.ground.vocabulary import Answer, Feel, Method, Purpose, Shape

SHA256 = [validate.Length(equal=64), validate.Regexp("^[0-9a-f]{64}$")]


def exactly(kind: str) -> fields.String:
    """The kind of an entry."""
    return fields.String(required=True, validate=validate.OneOf([kind]))


class Recorded(Schema):
    """What every entry has: its kind, when and by whom it was recorded on site."""

    recorded_at = Moment(required=True)
    recorded_by = label(required=True)


class FillEntry(Recorded):
    """Material blown into a cavity, or one bay of it: bags or kilograms (0 where only some is taken out)."""

    kind = exactly("fill")
    cavity = label(required=True)
    bay = Whole(least=1, most=10_000)
    bags = Number(least=0.01, most=100_000)
    mass_kg = kilograms()
    method = one_of(Method, required=True)
    removed_kg = kilograms()
    bulge_mm = millimetres(least=0, most=500)
    settings = Text()

    @validates_schema
    def bags_or_mass(self, data: Mapping[str, Any], **_options: Any) -> None:
        """Exactly one of the two says how much."""
        if ("bags" in data) == ("mass_kg" in data):
            raise ValidationError("Give either bags or mass_kg.", "mass_kg")


class BagCheckEntry(Recorded):
    """Bags that were weighed, to know what a bag holds."""

    kind = exactly("bag_check")
    masses_kg = Several(kilograms(least=0.1, most=100), least=2, most=200, required=True)


class SampleEntry(Recorded):
    """A core, a cut block or a test box."""

    kind = exactly("sample")
    cavity = label(required=True)
    bay = Whole(least=1, most=10_000)
    shape = one_of(Shape, required=True)
    diameter_mm = millimetres(most=500)
    length_mm = millimetres()
    width_mm = millimetres()
    depth_mm = millimetres()
    volume_l = Number(least=0.01, most=1000)
    mass_g = Number(least=0.1, most=1_000_000, required=True)
    feel = one_of(Feel, required=True)

    SIZES = {
        Shape.CORE: {"diameter_mm", "length_mm"},
        Shape.BLOCK: {"length_mm", "width_mm", "depth_mm"},
        Shape.BOX: {"volume_l"},
    }

    @validates_schema
    def sizes_of_its_shape(self, data: Mapping[str, Any], **_options: Any) -> None:
        """Each shape has its own sizes, all of them and no others."""
        needed = self.SIZES[data["shape"]]
        given = set().union(*self.SIZES.values()) & data.keys()
        wrong = {name: [f"A {data['shape']} needs it."] for name in needed - given}
        wrong |= {name: [f"A {data['shape']} has no such size."] for name in given - needed}
        if wrong:
            raise ValidationError(wrong)


class PenetrationEntry(Recorded):
    """A hole or cut, with a tag of its own on the job."""

    kind = exactly("penetration")
    tag = label(required=True)
    cavity = label(required=True)
    bay = Whole(least=1, most=10_000)
    purpose = one_of(Purpose, required=True)
    width_mm = millimetres(required=True)
    height_mm = millimetres(required=True)


class PatchEntry(Recorded):
    """What closes a penetration."""

    kind = exactly("patch")
    tag = label(required=True)
    width_mm = millimetres(required=True)
    height_mm = millimetres(required=True)
    tape = label(required=True)
    wiped = Flag(required=True)
    rubbed_down = Flag(required=True)
    photo_sha256 = fields.String(validate=SHA256)


class HoldPointEntry(Recorded):
    """The answer to a hold point."""

    kind = exactly("hold_point")
    code = label(required=True)
    cavity = label()
    answer = one_of(Answer, required=True)
    reading = Text()
    remark = Text(longest=1000, lines=True)


class StockEntry(Recorded):
    """What came to the site and what was left of it."""

    kind = exactly("stock")
    delivered_bags = Number(least=0, most=100_000, required=True)
    left_over_bags = Number(least=0, most=100_000, required=True)
    reclaimed_kg = kilograms(required=True)


class DepthCheckEntry(Recorded):
    """Depths of an open blow, and the markers that were set."""

    kind = exactly("depth_check")
    cavity = label(required=True)
    depths_mm = Several(millimetres(), least=1, most=500, required=True)
    markers = Whole(least=0, most=10_000, required=True)


class AirTestEntry(Recorded):
    """A fan pressurisation test (ISO 9972)."""

    kind = exactly("air_test")
    n50_per_h = Number(least=0.001, most=100)
    q50_m3_h_m2 = Number(least=0.001, most=100)
    before_or_after = fields.String(required=True, validate=validate.OneOf(["before", "after"]))
    by = label(required=True)

    @validates_schema
    def one_result(self, data: Mapping[str, Any], **_options: Any) -> None:
        """A test has a result."""
        if "n50_per_h" not in data and "q50_m3_h_m2" not in data:
            raise ValidationError("Give n50_per_h or q50_m3_h_m2.", "n50_per_h")


KINDS: dict[str, type[Recorded]] = {
    "fill": FillEntry,
    "bag_check": BagCheckEntry,
    "sample": SampleEntry,
    "penetration": PenetrationEntry,
    "patch": PatchEntry,
    "hold_point": HoldPointEntry,
    "stock": StockEntry,
    "depth_check": DepthCheckEntry,
    "air_test": AirTestEntry,
}


class EntryField(fields.Field[dict[str, Any]]):
    """An entry, read by the schema of its kind."""

    def __init__(self, kinds: Mapping[str, type[Recorded]], **options: Any) -> None:
        super().__init__(**options)
        self.kinds = kinds

    def _deserialize(self, value: Any, attr: str | None, data: Any, **_options: Any) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise ValidationError("Must be an object.")
        kind = value.get("kind")
        if not isinstance(kind, str) or kind not in self.kinds:
            raise ValidationError({"kind": [f"Must be one of: {', '.join(self.kinds)}."]})
        loaded: dict[str, Any] = self.kinds[kind]().load(value)
        return loaded


class CorrectionEntry(Recorded):
    """An entry that was wrong, why, and the entry that takes its place, if any."""

    kind = exactly("correction")
    entry = fields.UUID(required=True)
    reason = Text(longest=1000, lines=True, required=True)
    replacement = EntryField(KINDS, allow_none=True)


class Batch(Schema):
    """Entries that are stored together or not at all."""

    entries = Several(
        EntryField({**KINDS, "correction": CorrectionEntry}), least=1, most=10_000, required=True
    )


class StoredEntry(Schema):
    """An entry as it was stored."""

    id = fields.String()
    position = fields.Integer()
    kind = fields.String()
    recorded_at = Moment()
    recorded_by = fields.String()
    received_at = Moment()
    corrected_by = fields.String(allow_none=True)
    data = fields.Dict()


class Ledger(Schema):
    """A job's entries in the order they were received."""

    entries = fields.List(fields.Nested(StoredEntry))
