"""A material by its data sheet."""

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from marshmallow import Schema, fields, validates_schema

from schemas.fields import (
    Day,
    Moment,
    Number,
    Several,
    Text,
    code,
    kilograms,
    label,
    millimetres,
    one_of,
    texts,
)
from schemas.posted import Posted
from schemas.shapes import described_by
from schemas.wrong import wrong
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Element, Standing
from service.engine.survey import practice as known


class Sourced(Posted):
    """Anything that must say where it comes from."""

    source = Text(longest=600, required=True)
    standing = one_of(Standing, required=True)


def density(**options: Any) -> Number:
    """A density in kg/m3 that loose fill can have."""
    return Number(least=5, most=200, **options)


@described_by(known.SheetDensity)
class SheetDensity(Posted):
    """What the sheet says of one element."""

    element = one_of(Element, required=True)
    lowest_kg_m3 = density(required=True)
    target_kg_m3 = density()
    highest_kg_m3 = density(required=True)

    @validates_schema
    def in_order(self, data: Mapping[str, Any], **_options: Any) -> None:
        """lowest, target, highest."""
        lowest, highest = data["lowest_kg_m3"], data["highest_kg_m3"]
        if lowest > highest:
            raise wrong(message("schemas.below_the_lowest"), "highest_kg_m3")
        if not lowest <= data.get("target_kg_m3", lowest) <= highest:
            raise wrong(message("schemas.between", lowest="lowest", highest="highest"), "target_kg_m3")


@described_by(known.Loading)
class Loading(Posted):
    """Up to this depth, at most this density (REACH Annex XVII entry 65)."""

    depth_mm = millimetres(required=True)
    density_kg_m3 = density(required=True)


@described_by(known.ChartRow)
class ChartRow(Posted):
    """A row of the label chart for open blow."""

    label_r = Number(least=1, most=100, required=True)
    initial_mm = millimetres(required=True)
    settled_mm = millimetres(required=True)
    bags_per_100_m2 = Number(least=0.1, most=10_000, required=True)
    lowest_kg_m2 = Number(least=0.1, most=500, required=True)


@described_by(known.ClosedRow)
class ClosedRow(Posted):
    """A row of the chart for closed cavities: the whole depth's R, and the densities that it holds for."""

    depth_mm = millimetres(required=True)
    label_r = Number(least=1, most=100, required=True)
    lowest_kg_m3 = density(required=True)
    highest_kg_m3 = density(required=True)

    @validates_schema
    def in_order(self, data: Mapping[str, Any], **_options: Any) -> None:
        """The lowest is not above the highest."""
        if data["lowest_kg_m3"] > data["highest_kg_m3"]:
            raise wrong(message("schemas.below_the_lowest"), "highest_kg_m3")


@described_by(known.Material)
class MaterialBody(Sourced):
    """A version of a data sheet, in force from a day."""

    in_force_from = Day(
        required=True, metadata={"description": "The day that this version is in force from."}
    )
    name = label(required=True)
    maker = label(required=True)
    sheet = Text(required=True)
    conductivity_w_mk = Number(least=0.01, most=0.2, required=True)
    conductivity_lowest_kg_m3 = density(required=True)
    conductivity_highest_kg_m3 = density(required=True)
    densities = Several(fields.Nested(SheetDensity), least=1, most=4, required=True)
    bag_kg = kilograms(least=1, most=1000, required=True)
    settled_kg_m3 = density()
    settlement_percent = Number(least=0, most=60)
    settlement_class = label()
    loadings = Several(fields.Nested(Loading), most=50)
    chart = Several(fields.Nested(ChartRow), most=50)
    closed_chart = Several(fields.Nested(ClosedRow), most=100)
    mu = Number(least=0.5, most=100)
    hazards = Several(texts(longest=600), most=30)

    @validates_schema
    def each_row_once(self, data: Mapping[str, Any], **_options: Any) -> None:
        """Two rows for one element, one R or one density would leave open which one holds."""
        elements = [row["element"] for row in data.get("densities", ())]
        if len(set(elements)) < len(elements):
            raise wrong(message("schemas.twice", key="element"), "densities")
        rows = [row["label_r"] for row in data.get("chart", ())]
        if len(set(rows)) < len(rows):
            raise wrong(message("schemas.twice", key="label_r"), "chart")
        closed = sorted(
            (row["depth_mm"], row["lowest_kg_m3"], row["highest_kg_m3"])
            for row in data.get("closed_chart", ())
        )
        if any(one[0] == other[0] and other[1] <= one[2] for one, other in pairwise(closed)):
            raise wrong(message("schemas.density_twice"), "closed_chart")
        if data["conductivity_lowest_kg_m3"] > data["conductivity_highest_kg_m3"]:
            raise wrong(message("schemas.below_the_lowest"), "conductivity_highest_kg_m3")


class NamedMaterial(MaterialBody):
    """A version with its code, as it stands in a file."""

    code = code(required=True, metadata={"description": "Code of the material."})


class Material(MaterialBody):
    """A version as it is kept."""

    id = fields.UUID(metadata={"description": "Id of the version."})
    code = fields.String(metadata={"description": "Code of the material."})
    created_at = Moment(metadata={"description": "When the version was added."})


class Materials(Schema):
    """Every version of every sheet."""

    items = fields.List(fields.Nested(Material), metadata={"description": "Every version, oldest first."})
