"""What is asked on the terminal: nothing is taken for granted, and an empty answer is none."""

from typing import Any

import click
import pytest
from click.testing import CliRunner

from service.cli.asking import Told, ask
from service.cli.terminal import Terminal

POINT = {"code": "dust", "stage": "before", "text": {"en": "No dust?"}, "cavity": None, "single": False}
WALL = {
    "label": "W1",
    "mass_kg": 280.0,
    "samples": 1,
    "open_blow": None,
    "geometry": {"bays": 3},
    "fill_plan": {"holes": 4, "proof": {"sampled_bays": [2]}},
}
JOB: dict[str, Any] = {
    "number": "J-2026-0001",
    "reference": "X",
    "language": "en",
    "material": {"code": "M", "bag_kg": 14.0},
    "cavities": [{"label": "W1", "facing": "membrane"}],
    "takeoff": {"hold_points": [{**POINT, "reading": None}], "cavities": [WALL]},
}
WHO = ["Alex", "2026-11-24", "07:00", "16:30"]


@pytest.fixture
def asked() -> Any:
    """A function that gives the entries of what was typed, and what was printed."""
    said: list[Any] = []

    @click.command()
    def command() -> None:
        told = Told()
        ask(JOB, Terminal("en"), told)
        said.extend(told.entries)

    def typed(*answers: str) -> tuple[list[Any], str]:
        said.clear()
        done = CliRunner().invoke(command, input="\n".join([*WHO, *answers]) + "\n")
        assert done.exit_code == 0, done.output
        return list(said), done.output

    return typed


def test_who_says_nothing_has_said_nothing(asked: Any) -> None:
    entries, printed = asked(*[""] * 16)
    assert entries == []
    assert "W1: 20 bags planned, 4 holes" in printed


REST = [""] * 10
"""After a part's samples: its depth and photos, what nobody planned, then the whole job's six questions."""


def test_what_differs_is_asked_for_by_its_numbers(asked: Any) -> None:
    answers = ["d", "20,5", "0", "4", "L-1", "3", "n", "2 1", "4", "", *REST, ""]
    checks, tally = asked(*answers)[0]
    assert checks["points"] == [{"code": "dust", "answer": "dealt_with"}]
    assert (tally["bags"], tally["last_bay"], tally["lot"]) == (20.5, 3, "L-1")
    assert (tally["run_empty"], tally["bulge_mm"]) == (True, 4)
    assert (tally["holes"], tally["patched"]) == ({"omitted": [1, 2]}, {"all_but": [4]})
    assert checks["happened_at"] < tally["happened_at"]


def test_a_core_without_a_depth_says_how_long_it_is(asked: Any) -> None:
    answers = ["", "", "no number", "172", "f", "y", "", "358", *REST]
    (core,) = asked(*answers)[0]
    assert {name: core[name] for name in ("bay", "mass_g", "length_mm", "feel", "patched")} == {
        "bay": 2,
        "mass_g": 172,
        "length_mm": 358,
        "feel": "firm",
        "patched": True,
    }


def test_a_depth_that_was_found_comes_before_the_cores_that_go_by_it(asked: Any) -> None:
    found, core = asked("", "", "172", "g", "n", "356", *REST)[0]
    assert (found["depth_mm"], core["feel"], core["patched"]) == ([356.0], "gives_way", False)
    assert "length_mm" not in core
    assert found["happened_at"] < core["happened_at"]


def test_what_cannot_be_recorded_for_want_of_an_answer_is_said(asked: Any) -> None:
    entries, printed = asked("", "", "172", "f", "y", "", "", *["", "", "", "", "", "", "", "3", "", ""])
    assert entries == []
    assert printed.count("Not recorded: something of it was not said.") == 2
