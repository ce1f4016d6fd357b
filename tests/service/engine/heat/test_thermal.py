"""U-values of filled cavities; published examples are in tests/reference."""

from dataclasses import replace
from math import isfinite

import pytest
from ht.conduction import R_value_to_k
from hypothesis import given, settings
from hypothesis import strategies as st

from service.documents.wording.sentences import in_words
from service.engine.geometry.geometry import geometry
from service.engine.ground.vocabulary import Element, Facing, Runs
from service.engine.heat.thermal import M2K_W_PER_LABEL_R, thermal
from service.engine.survey.cavity import BuildUpLayer, Layer
from service.errors import InvalidInput
from tests.builders import attic, board, fraction, framing, layer, roof_slope, stud_wall, wall

LINING = BuildUpLayer(name="lining", thickness_mm=12.5, conductivity_w_mk=0.25)
SHEATHING = board(thickness_mm=11)


def heat(cavity, conductivity_w_mk=0.039, **fields):
    shape = geometry(cavity=cavity)
    return thermal(cavity=cavity, geometry=shape, conductivity_w_mk=conductivity_w_mk, **fields)


def twin_stud(*, aligned, inner=0.15, outer=0.15):
    return wall(
        layers=(layer(89, fraction(outer)), layer(122), layer(89, fraction(inner))),
        leaves_aligned=aligned,
        inside=(LINING,),
        outside=(SHEATHING,),
    )


# 300 mm of fill at 0.039 in two leaves of 15 % timber at 0.13, lined and sheathed: worked out independently.
@pytest.mark.parametrize(
    ("aligned", "upper", "u_value"), [(False, 7.414015, 0.140571), (True, 7.271271, 0.141996)]
)
def test_a_twin_stud_wall_by_how_its_leaves_stand(aligned, upper, u_value):
    found = heat(twin_stud(aligned=aligned))

    assert found.r_upper == pytest.approx(upper, abs=5e-7)
    assert found.r_lower == pytest.approx(6.813637, abs=5e-7)
    assert found.u_value_w_m2k == pytest.approx(u_value, abs=5e-7)


def test_the_rest_of_the_answer_follows_from_the_limits():
    found = heat(twin_stud(aligned=False))

    assert found.r_total == pytest.approx((7.414015 + 6.813637) / 2, abs=5e-7)
    assert sum(each.resistance_m2k_w for each in found.courses) == pytest.approx(found.r_total)
    assert found.ratio == pytest.approx(1.088114, abs=5e-7)
    assert found.error_percent == pytest.approx(100 * (7.414015 - 6.813637) / 14.227652, abs=1e-4)
    assert found.r_fill == pytest.approx(0.3 / 0.039)
    assert (found.rsi, found.rse, found.correction_w_m2k, found.notes) == (0.13, 0.04, 0, ())


def test_aligned_leaves_of_different_timber_overlap_by_the_lesser():
    # By hand: areas 0.85, 0.05 (the outer leaf's timber alone) and 0.10 (both leaves' timber), on paths of
    # 7.996923, 6.399487 and 4.802051 m2K/W: 0.106291 + 0.007813 + 0.020824 = 0.134928 W/(m2K).
    found = heat(twin_stud(aligned=True, outer=0.15, inner=0.10))

    assert 1 / found.r_upper == pytest.approx(0.134928, abs=1e-6)


def test_crossing_battens_are_independent_though_leaves_are_aligned():
    along = wall(layers=(layer(89, fraction(0.15)), layer(89, fraction(0.15))))
    crossing = wall(layers=(layer(89, fraction(0.15)), layer(89, fraction(0.15, runs=Runs.ACROSS))))

    assert heat(crossing).r_upper == pytest.approx(heat(replace(along, leaves_aligned=False)).r_upper)
    assert heat(crossing).r_upper > heat(along).r_upper


def test_timber_has_its_own_conductivity():
    oak = stud_wall(layers=(layer(140, fraction(0.15, conductivity_w_mk=0.18)),))

    assert heat(oak).u_value_w_m2k > heat(stud_wall(layers=(layer(140, fraction(0.15)),))).u_value_w_m2k


def test_limits_too_far_apart_give_no_u_value():
    # Light steel: 50 W/(m K) over 0.2 % of the area.
    found = heat(stud_wall(layers=(layer(300, fraction(0.002, conductivity_w_mk=50)),)))

    assert found.ratio > 1.5
    assert found.courses == ()
    assert (found.u_value_w_m2k, found.r_total, found.error_percent, found.correction_w_m2k) == (
        None,
        None,
        None,
        0,
    )
    assert "No U-value is given" in in_words(found.notes[0])
    assert f"{found.ratio:.3g} : 1" in in_words(found.notes[0])


def test_a_correction_is_part_of_the_u_value():
    plain, gappy = twin_stud(aligned=True), replace(twin_stud(aligned=True), air_gap_level=2)

    found = heat(gappy)

    # 0.04 (7.692308/7.996923)^2 = 0.037011, more than 3 % of 0.141996.
    assert found.correction_w_m2k == pytest.approx(0.037011, abs=5e-7)
    assert found.u_value_w_m2k == pytest.approx(heat(plain).u_value_w_m2k + 0.037011, abs=1e-6)
    assert found.r_total == pytest.approx(1 / found.u_value_w_m2k)


def test_an_attic_takes_its_labels_resistance_for_the_whole_fill():
    open_attic = attic(layers=(layer(300),), label_r=38)

    found = heat(open_attic, conductivity_w_mk=0.040, label_r=38)

    # ht converts R-38 for one inch to W/(m K): 0.0254 m over that is R-38 in m2K/W.
    by_ht = 0.0254 / R_value_to_k(38, SI=False)
    assert found.r_fill == pytest.approx(by_ht, rel=2e-6)
    assert found.r_upper == pytest.approx(by_ht + 0.20, rel=2e-6)
    assert "R-38" in in_words(found.notes[-1])


def test_the_labels_unit_is_derived_from_exact_ones():
    # 1 ft = 0.3048 m, 1 F = K/1.8, 1 Btu(IT) = 1055.05585262 J (NIST SP 811, appendix B).
    assert pytest.approx(0.3048**2 * 3600 / 1.8 / 1055.05585262, rel=2e-6) == M2K_W_PER_LABEL_R


def test_a_ventilated_layer_shelters_the_face():
    air = BuildUpLayer(name="air", ventilated=True)
    tiles = BuildUpLayer(name="tiles")

    found = heat(roof_slope(outside=(tiles, air, SHEATHING), inside=(LINING,)))

    assert (found.rsi, found.rse) == (0.10, 0.10)
    assert any("well-ventilated" in in_words(note) for note in found.notes)


def test_what_was_not_given_is_said():
    assert any("No layer beside the cavity" in in_words(note) for note in heat(stud_wall()).notes)
    assert any("pitch" in in_words(note) for note in heat(roof_slope(pitch_deg=None)).notes)


def test_a_layer_without_a_resistance_is_named():
    with pytest.raises(InvalidInput) as caught:
        heat(stud_wall(inside=(LINING, BuildUpLayer(name="unknown"))))

    assert [fault.pointer for fault in caught.value.faults] == ["/inside/1/conductivity_w_mk"]


def test_identical_cavities_have_one_u_value():
    assert heat(stud_wall(count=7)).u_value_w_m2k == heat(stud_wall()).u_value_w_m2k


FRACTIONS = st.floats(0, 0.6)
DEPTHS = st.floats(40, 300)


@settings(max_examples=80, deadline=None)
@given(DEPTHS, DEPTHS, FRACTIONS, FRACTIONS, st.floats(0, 0.3), st.booleans(), st.floats(0.03, 0.06))
def test_more_timber_never_lowers_the_u_value(first, second, outer, inner, more, aligned, conductivity):
    def found(share):
        return heat(
            stud_wall(
                layers=(layer(first, fraction(share)), layer(second, fraction(inner))), leaves_aligned=aligned
            ),
            conductivity,
        )

    less, greater = found(outer), found(outer + more)

    assert greater.r_upper <= less.r_upper * (1 + 1e-12)
    assert greater.r_lower <= less.r_lower * (1 + 1e-12)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(
        st.tuples(DEPTHS, FRACTIONS, st.sampled_from(Runs), st.floats(0.001, 60)), min_size=1, max_size=4
    ),
    st.booleans(),
    st.sampled_from([Element.WALL, Element.FLOOR]),
)
def test_every_answer_is_finite_or_says_that_there_is_none(stack, aligned, element):
    layers = tuple(
        Layer(depth_mm=depth, framing=fraction(share, runs=runs, conductivity_w_mk=timber))
        for depth, share, runs, timber in stack
    )
    facing = Facing.BOARD

    found = heat(stud_wall(layers=layers, leaves_aligned=aligned, element=element, facing=facing))

    assert 0 < found.r_lower <= found.r_upper * (1 + 1e-12)
    assert isfinite(found.r_upper)
    if found.ratio > 1.5:
        assert found.u_value_w_m2k is None
    else:
        assert 1 / found.r_upper <= found.u_value_w_m2k * (1 + 1e-12)
        assert found.u_value_w_m2k <= 1 / found.r_lower * (1 + 1e-12)


def test_measured_members_give_their_fraction():
    # 9.6 x 2.7 m with 17 members of 50 mm between plates of 100 mm.
    cavity = stud_wall(
        width_m=9.6,
        span_m=2.7,
        layers=(layer(150, framing(member_mm=50, spacing_mm=600, plates_mm=100)),),
    )
    share = (0.100 * 9.6 + 17 * 0.050 * 2.6) / (9.6 * 2.7)

    assert heat(cavity).r_lower == pytest.approx(
        0.17 + 1 / (share / (0.15 / 0.13) + (1 - share) / (0.15 / 0.039))
    )


def test_a_layer_beside_the_cavity_may_be_bridged_like_a_leaf_of_it():
    """Insulation between battens inside is what the same layer of the cavity is, where it conducts alike."""
    battens = BuildUpLayer(
        name="battens",
        thickness_mm=60,
        conductivity_w_mk=0.039,
        timber_fraction=0.12,
        timber_conductivity_w_mk=0.13,
    )
    beside = stud_wall(layers=(layer(140, fraction(0.15)),), inside=(battens,))
    within = stud_wall(layers=(layer(140, fraction(0.15)), layer(60, fraction(0.12))), leaves_aligned=False)
    assert heat(beside).r_upper == pytest.approx(heat(within).r_upper)
    assert heat(beside).r_lower == pytest.approx(heat(within).r_lower)
    assert sum(each.resistance_m2k_w for each in heat(beside).courses) == pytest.approx(heat(beside).r_total)


def test_battens_are_softwood_where_nobody_says_what_they_are():
    plain = BuildUpLayer(name="battens", thickness_mm=60, conductivity_w_mk=0.035, timber_fraction=0.12)
    said = replace(plain, timber_conductivity_w_mk=0.13)
    assert heat(stud_wall(inside=(plain,))) == heat(stud_wall(inside=(said,)))


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"timber_conductivity_w_mk": 0.13}, "timber_conductivity_w_mk"),
        ({"timber_fraction": 1.0}, "timber_fraction"),
        ({"timber_fraction": 0.1, "timber_conductivity_w_mk": 0.0}, "timber_conductivity_w_mk"),
        (
            {
                "timber_fraction": 0.1,
                "thickness_mm": None,
                "conductivity_w_mk": None,
                "resistance_m2k_w": 1.0,
            },
            "thickness_mm",
        ),
    ],
)
def test_battens_that_cannot_be(fields, field):
    layered = replace(BuildUpLayer(name="board", thickness_mm=60, conductivity_w_mk=0.04), **fields)
    with pytest.raises(InvalidInput) as refused:
        heat(stud_wall(inside=(layered,)))
    assert [fault.pointer for fault in refused.value.faults] == [f"/inside/0/{field}"]


def test_the_timber_of_a_layer_beside_the_cavity_takes_no_room_from_the_fill():
    bridged = BuildUpLayer(name="battens", thickness_mm=60, conductivity_w_mk=0.035, timber_fraction=0.12)
    assert geometry(cavity=stud_wall(inside=(bridged,))) == geometry(cavity=stud_wall())
