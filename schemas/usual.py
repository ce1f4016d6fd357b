"""How a firm's buildings usually are: sets of framing by name, for estimates before a survey."""

from collections.abc import Mapping
from typing import Any

from marshmallow import ValidationError, fields, validates_schema

from schemas.cavities import Opening, within
from schemas.fields import Number, Several, Whole, label, one_of
from schemas.materials import Sourced
from schemas.posted import Posted
from schemas.shapes import described_by
from schemas.wrong import Said, wrong
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Element, Facing, Runs
from service.engine.survey import limits
from service.engine.survey import usual as known

MOST_PERCENT = 90
# How many openings there are, and where, follows from their share: as good as unsaid are these.
UNSAID = {"left_m": None, "count": 1}


@described_by(known.Usual)
class Usual(Posted):
    """Between what a size lies; the ranges of a survey hold for all three."""

    def __init__(self, limits: tuple[float, float] = (0, 10_000), **options: Any) -> None:
        super().__init__(**options)
        self.limits = limits

    least = Number(least=0, most=10_000, required=True)
    usual = Number(least=0, most=10_000, required=True)
    most = Number(least=0, most=10_000, required=True)

    @validates_schema
    def in_order(self, data: Mapping[str, Any], **_options: Any) -> None:
        """least, usual, most, none of them beyond what can be."""
        least, most = self.limits
        for name, value in data.items():
            if not least <= value <= most:
                raise wrong(message("schemas.outside", min=least, max=most), name)
        if not data["least"] <= data["usual"] <= data["most"]:
            raise wrong(message("schemas.between", lowest="least", highest="most"), "usual")


def _usual(limits: tuple[float, float], **options: Any) -> fields.Nested:
    return fields.Nested(Usual(limits), **options)


@described_by(known.UsualMembers)
class UsualMembers(Posted):
    """Timber of a layer."""

    member_mm = within(limits.TIMBER_MM, required=True)
    plates_mm = within(limits.NONE_OR_MM)
    blocking_rows = Whole(least=0, most=limits.MOST_ROWS)
    blocking_mm = within(limits.NONE_OR_MM)
    runs = one_of(Runs)
    conductivity_w_mk = within(limits.CONDUCTIVITY_W_MK)


@described_by(known.UsualLayer)
class UsualLayer(Posted):
    """A layer of the depth."""

    depth_mm = within(limits.TIMBER_MM)
    members = fields.Nested(UsualMembers)


@described_by(known.UsualFraming)
class UsualFraming(Sourced):
    """A named set."""

    name = label(required=True)
    element = one_of(Element, required=True)
    facing = one_of(Facing, required=True)
    layers = Several(fields.Nested(UsualLayer), least=1, most=limits.MOST_LAYERS, required=True)
    width_m = within(limits.IN_PLANE_M, required=True)
    span_m = _usual(limits.IN_PLANE_M, required=True)
    spacing_mm = _usual(limits.TIMBER_MM, required=True)
    openings_percent = _usual((0, MOST_PERCENT))
    opening = fields.Nested(Opening)
    pitch_deg = within(limits.PITCH_DEG)
    depth_over_mm = within(limits.NONE_OR_MM)
    depth_up_to_mm = within(limits.TIMBER_MM)

    @validates_schema
    def can_be_worked_out(self, data: Mapping[str, Any], **_options: Any) -> None:
        """One layer takes what the others leave; openings have a size, and no place."""
        if sum("depth_mm" not in layer for layer in data["layers"]) != 1:
            raise wrong(message("schemas.one_layer_left"), "layers")
        if ("openings_percent" in data) != ("opening" in data):
            raise wrong(message("schemas.share_and_opening"), "opening")
        opening = data.get("opening", {})
        placed = [name for name, unsaid in UNSAID.items() if opening.get(name, unsaid) != unsaid]
        if placed:
            raise ValidationError(
                {"opening": {name: [Said(message("schemas.not_said_here"))] for name in placed}}
            )
