"""The ranges that a posted cavity is held to are the engine's own."""

import pytest

from schemas import cavities
from service.engine.survey import limits

RANGES = {
    (cavities.Cavity, "width_m"): limits.IN_PLANE_M,
    (cavities.Cavity, "count"): (1, limits.MOST_CAVITIES),
    (cavities.Layer, "depth_mm"): limits.TIMBER_MM,
    (cavities.Framing, "members"): (limits.LEAST_MEMBERS, limits.MOST_MEMBERS),
    (cavities.Opening, "reveal_mm"): limits.NONE_OR_MM,
    (cavities.BuildUpLayer, "timber_fraction"): limits.SHARE,
}
LENGTHS = {
    (cavities.Cavity, "layers"): limits.MOST_LAYERS,
    (cavities.Cavity, "openings"): limits.MOST_OPENINGS,
    (cavities.Cavity, "profile_m"): limits.MOST_POINTS,
    (cavities.Building, "cavities"): limits.MOST_CAVITIES,
}


@pytest.mark.parametrize(("field", "range_of"), RANGES.items())
def test_ranges(field, range_of):
    schema, name = field
    validator = schema().fields[name].validate
    assert (validator.min, validator.max) == range_of


@pytest.mark.parametrize(("field", "most"), LENGTHS.items())
def test_lengths(field, most):
    schema, name = field
    assert schema().fields[name].validate.max == most


@pytest.mark.parametrize(
    "schema",
    [
        cavities.Cavity,
        cavities.Layer,
        cavities.Framing,
        cavities.Opening,
        cavities.Displaced,
        cavities.BuildUpLayer,
        cavities.Fasteners,
    ],
)
def test_every_field_says_what_it_is(schema):
    assert [name for name, field in schema().fields.items() if not field.metadata.get("description")] == []
