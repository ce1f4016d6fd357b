import pytest

from service.engine.geometry.cautions import survey_cautions
from tests.builders import attic, floor, fraction, framing, layer, roof_slope, stud_wall, wall


def codes(cavity):
    return [said.code.removeprefix("geometry.") for said in survey_cautions(cavity=cavity)]


@pytest.mark.parametrize(
    "cavity",
    [
        *(wall(), stud_wall(), floor(), roof_slope(), attic(), attic(layers=(layer(300),))),
        stud_wall(layers=(layer(140, fraction()),)),
    ],
)
def test_what_is_built_every_day_has_no_caution(cavity):
    assert codes(cavity) == []


@pytest.mark.parametrize(
    ("cavity", "expected"),
    [
        (stud_wall(layers=(layer(36, framing()),)), ["depth_implausible"]),
        (stud_wall(layers=(layer(1400, framing()),)), ["depth_implausible"]),
        (wall(width_m=94.0), ["width_implausible"]),
        (roof_slope(span_m=50.0), ["span_implausible"]),
        (stud_wall(layers=(layer(140),)), ["no_framing"]),
        (stud_wall(layers=(layer(140, framing(member_mm=450)),)), ["member_implausible"]),
        (stud_wall(width_m=6.045, layers=(layer(140, framing(spacing_mm=62.5)),)), ["spacing_implausible"]),
        (stud_wall(width_m=6.02, layers=(layer(140, framing(spacing_mm=600)),)), []),
        (stud_wall(width_m=6.06, layers=(layer(140, framing(spacing_mm=600)),)), ["last_members_overlap"]),
        (wall(profile_m=((0, 2), (9.4, 2))), ["height_beyond_profile"]),
    ],
)
def test_a_plausible_slip_gets_a_caution(cavity, expected):
    assert codes(cavity) == expected
