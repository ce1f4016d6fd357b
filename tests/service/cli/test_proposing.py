"""What nobody planned, asked for on the terminal: each size is typed or said to be another part's."""

from typing import Any

import click
import pytest
from click.testing import CliRunner

from service.cli.proposing import like_it, proposals
from service.cli.terminal import Terminal

FRAMING = {"member_mm": 45.0, "spacing_mm": 625.0, "members_at_m": [0.0, 0.6], "timber_fraction": None}
WALL: dict[str, Any] = {
    "label": "W1",
    "width_m": 5.0,
    "span_m": 2.5,
    "count": 1,
    "layers": [{"depth_mm": 145.0, "framing": FRAMING}, {"depth_mm": 60.0, "framing": None}],
    "openings": [{"width_m": 1.0, "height_m": 1.2, "left_m": 2.0, "sill_m": 0.9, "reveal_mm": None}],
    "displaced": [{"volume_m3": 0.01}],
    "profile_m": [[0, 2.5], [5.0, 2.5]],
    "label_r": 5.0,
    "facing": "membrane",
}


@pytest.fixture
def asked() -> Any:
    """A function that gives what was proposed by what was typed, and what was printed."""
    said: list[Any] = []

    @click.command()
    def command() -> None:
        said.extend(proposals({"cavities": [WALL]}, Terminal("en"), "Alex"))

    def typed(*answers: str) -> tuple[list[Any], str]:
        said.clear()
        done = CliRunner().invoke(command, input="\n".join(answers) + "\n")
        assert done.exit_code == 0, done.output
        return list(said), done.output

    return typed


def test_a_part_like_another_has_the_sizes_that_were_typed_or_said_to_be_the_same(asked: Any) -> None:
    (said,), _ = asked("W7", "W1", "m", "Niche", "stairs", "0,6", "=", "x", "140", "=", "n", "", "")
    (cavity,) = said["cavities"]
    assert (said["by"], cavity["label"], cavity["place"]) == ("Alex", "Niche", "stairs")
    assert (cavity["width_m"], cavity["span_m"]) == (0.6, 2.5)
    assert [layer["depth_mm"] for layer in cavity["layers"]] == [140, 60]
    assert "counts" not in said


def test_what_is_not_there_what_stands_in_its_place_and_what_else_there_is(asked: Any) -> None:
    same = ["=", "=", "=", "=", "y"]
    (gone, instead, line), _ = asked(
        "W1", "n", "W1", "i", "W1 new", "", *same, "", "Skip", "1", "piece", "Rope", "", "", ""
    )
    assert gone["counts"] == instead["counts"] == [{"cavity": "W1", "count": 0}]
    assert instead["cavities"][0]["openings"][0]["left_m"] == 2.0
    assert line["lines"] == [{"text": "Skip", "quantity": 1.0, "unit": "piece"}]


def test_a_size_that_nobody_said_proposes_nothing(asked: Any) -> None:
    said, printed = asked("W1", "m", "Niche", "", "", "=", "=", "=", "n", "", "")
    assert said == []
    assert "something of it was not said" in printed


def test_what_the_other_was_measured_to_be_stays_with_it() -> None:
    same = like_it(WALL, [5.0, 2.5, 145.0, 60.0], with_openings=True)
    assert (same["profile_m"], same["label_r"]) == (WALL["profile_m"], 5.0)
    assert same["layers"][0]["framing"]["members_at_m"] == [0.0, 0.6]
    other = like_it(WALL, [4.0, 2.5, 140.0, 60.0], with_openings=True)
    assert {"profile_m", "label_r", "displaced"} & other.keys() == set()
    assert other["layers"] == [
        {"depth_mm": 140.0, "framing": {"member_mm": 45.0, "spacing_mm": 625.0}},
        {"depth_mm": 60.0},
    ]
    assert other["openings"] == [{"width_m": 1.0, "height_m": 1.2}]
    assert other["surveyed"] == "drawn"
