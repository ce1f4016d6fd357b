"""What is one space at a glance is one by looking at which spaces touch and overlap, too."""

from random import Random

import pytest

from service.engine.geometry.connections import connected_spaces
from service.engine.geometry.layout import Layout, layout_of
from service.engine.geometry.open_layers import is_one_space
from service.engine.geometry.sheets import Sheet, sheets
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Cavity, Opening
from tests.builders import fraction, framing, layer, opening, stud_wall, wall

WINDOW = opening(left_m=2.0, sill_m=0.9, trim_mm=45, reveal_mm=20)
LEAF = layer(145, framing())


def stacked(cavity: Cavity) -> tuple[Layout, list[Sheet]]:
    layout = layout_of(cavity=cavity)
    return layout, sheets(layout=layout)


def at_a_glance(cavity: Cavity) -> bool:
    layout, stack = stacked(cavity)
    return is_one_space(layout=layout, stack=stack)


def drawn(random: Random) -> Cavity:
    """A wall with an open layer somewhere, its windows anywhere: beside, over and across one another too."""
    leaves = [
        LEAF,
        layer(95, framing(plates_mm=400)),
        layer(80, framing(runs=Runs.ACROSS)),
        layer(60, fraction()),
    ]
    layers = [random.choice([layer(120), layer(120), *leaves]) for _ in range(random.randint(1, 4))]
    windows = [
        Opening(
            width_m=random.choice([0.6, 1.2, 3.0, 9.4]),
            height_m=random.choice([0.6, 1.2, 2.2, 2.56, 2.65]),
            left_m=random.choice([0.0, 0.02, 1.2, 2.4, 4.0, 6.0]),
            sill_m=random.choice([0.0, 0.02, 0.045, 0.0455, 0.05, 0.9]),
            trim_mm=random.choice([0, 45]),
            reveal_mm=random.choice([0, 20, 60]),
        )
        for _ in range(random.randint(0, 3))
    ]
    return wall(layers=tuple(layers), openings=tuple(windows), leaves_aligned=random.random() < 0.5)


@pytest.mark.parametrize("seed", range(4))
def test_the_quick_look_never_joins_what_is_apart(seed: int) -> None:
    random, joined = Random(seed), 0
    for _ in range(150):
        layout, stack = stacked(drawn(random))
        if is_one_space(layout=layout, stack=stack):
            joined += 1
            (group,) = connected_spaces(layout=layout, stack=stack)
            assert len(group) == sum(len(cell) for sheet in stack for cell in sheet.cells)
    assert joined > 15


def test_most_walls_with_twin_studs_are_seen_at_a_glance() -> None:
    assert at_a_glance(wall())
    assert at_a_glance(wall(openings=(WINDOW, opening(left_m=5.0, sill_m=0.05, height_m=2.2))))


@pytest.mark.parametrize(
    "cavity",
    [
        stud_wall(),
        wall(dividers=True),
        wall(layers=(LEAF, LEAF)),
        wall(layers=(layer(120), LEAF, LEAF, layer(120))),
        wall(profile_m=((0.0, 2.0), (4.7, 2.65), (9.4, 2.0))),
        wall(openings=(opening(left_m=3.0, sill_m=0.045, height_m=2.56),)),
        wall(openings=(opening(left_m=3.0, sill_m=0.9, trim_mm=20, reveal_mm=45),)),
        wall(openings=(WINDOW, opening(left_m=3.2, sill_m=0.9))),
    ],
    ids=["no open layer", "dividers", "leaves", "leaves between", "gable", "door", "box", "side by side"],
)
def test_what_is_in_doubt_is_looked_at_more_closely(cavity: Cavity) -> None:
    assert not at_a_glance(cavity)


def test_a_layer_known_by_its_timber_fraction_is_open_too() -> None:
    assert at_a_glance(wall(layers=(LEAF, layer(120, fraction()))))
