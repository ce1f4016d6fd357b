"""Hypothesis strategies for cavities that can be."""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from service.engine.ground.vocabulary import Element, Facing, Runs
from service.engine.survey.cavity import Cavity, Framing, Layer, Opening
from tests.builders import wall

BOTH_WAYS = st.sampled_from(Runs)


def framings(*, runs: st.SearchStrategy[Runs]) -> st.SearchStrategy[Framing]:
    """Members of 30 to 80 mm at 300 to 700 mm, with or without plates and blocking."""
    return st.builds(
        lambda member_mm, spacing_mm, plates_mm, rows, runs: Framing(
            member_mm=member_mm,
            spacing_mm=spacing_mm,
            plates_mm=plates_mm,
            blocking_rows=rows,
            blocking_mm=45 if rows else 0,
            runs=runs,
        ),
        st.integers(30, 80),
        st.integers(300, 700),
        st.sampled_from([0, 45, 90, 135]),
        st.integers(0, 2),
        runs,
    )


def layers(*, runs: st.SearchStrategy[Runs]) -> st.SearchStrategy[Layer]:
    """A framed layer, an open one, or one whose timber fraction is assumed."""
    assumed = st.builds(lambda share: Framing(timber_fraction=share), st.floats(0.0, 0.3))
    return st.builds(
        lambda depth_mm, framing: Layer(depth_mm=depth_mm, framing=framing),
        st.integers(60, 300),
        st.one_of(st.none(), assumed, framings(runs=runs), framings(runs=runs)),
    )


def windows() -> st.SearchStrategy[Opening]:
    """An opening that fits any of the cavities, placed or not."""
    left = st.none() | st.floats(0.0, 1.0)
    places = st.tuples(left, st.floats(0.0, 0.5)) | st.just((None, None))
    return st.builds(
        lambda width_m, height_m, trim_mm, place: Opening(
            width_m=width_m,
            height_m=height_m,
            trim_mm=trim_mm,
            left_m=place[0],
            sill_m=place[1],
        ),
        st.floats(0.3, 1.1),
        st.floats(0.3, 1.1),
        st.sampled_from([0, 45]),
        places,
    )


def cavities(*, runs: st.SearchStrategy[Runs] = BOTH_WAYS) -> st.SearchStrategy[Cavity]:
    """Walls of one to three layers, 3 to 9 m by 2.2 to 4 m, with an opening or none."""
    return st.builds(
        lambda width_m, span_m, layers, openings, aligned, count: wall(
            width_m=width_m,
            span_m=span_m,
            layers=tuple(layers),
            openings=tuple(openings),
            leaves_aligned=aligned,
            count=count,
        ),
        st.floats(3.0, 9.0),
        st.floats(2.2, 4.0),
        st.lists(layers(runs=runs), min_size=1, max_size=3),
        st.lists(windows(), max_size=1),
        st.booleans(),
        st.integers(1, 3),
    )


ELEMENTS: dict[Element, dict[str, Any]] = {
    Element.WALL: {},
    Element.FLOOR: {"facing": Facing.BOARD},
    Element.ROOF_SLOPE: {"facing": Facing.NETTING, "pitch_deg": 38},
    Element.ATTIC: {"facing": Facing.NONE},
}


def buildings() -> st.SearchStrategy[tuple[Cavity, ...]]:
    """One to four cavities of any element, each with a label of its own; some deeper than is allowed."""
    elements = st.lists(st.tuples(cavities(), st.sampled_from(Element)), min_size=1, max_size=4)
    return elements.map(
        lambda drawn: tuple(
            replace(cavity, label=f"C{number}", element=element, **ELEMENTS[element])
            for number, (cavity, element) in enumerate(drawn, start=1)
        )
    )
