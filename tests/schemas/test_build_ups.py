"""A build-up has layers that a cavity could have, and nothing else."""

from typing import Any

import pytest

from schemas.build_ups import BuildUp, BuildUpBody, NamedBuildUp
from tests.pointers import changed, demo, refused, refused_without

BODY: dict[str, Any] = {
    name: value for name, value in demo("build-ups/ew-360.json").items() if name != "code"
}


@pytest.mark.parametrize("name", ["ew-200", "ew-360", "fl-240", "rs-280"])
def test_the_demo_firms_build_ups_are_taken(name: str) -> None:
    assert refused(NamedBuildUp(), demo(f"build-ups/{name}.json")) == set()


def test_a_day_a_name_and_layers_are_needed() -> None:
    needed = ("in_force_from", "name", "layers")
    found = refused_without(BuildUpBody(), BODY)
    assert {name: found[name] for name in needed} == {name: {f"/{name}"} for name in needed}


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/layers", []),
        ("/layers/0/depth_mm", 0),
        ("/inside/0/name", ""),
        ("/facing", "membrane"),
        ("/width_m", 3),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(pointer: str, value: Any) -> None:
    assert refused(BuildUpBody(), changed(BODY, pointer, value)) == {pointer}


def test_what_was_left_out_is_left_out_of_the_answer() -> None:
    kept = {**BODY, "code": "EW", "inside": [], "outside": []}
    assert (
        "framing" not in BuildUp().dump({**kept, "layers": [{"depth_mm": 100, "framing": None}]})["layers"][0]
    )
