"""An option says what is different, and a part that the building has not got whole."""

from typing import Any

from schemas.options import MOST_OPTIONS, Offered
from tests.api import small_building
from tests.pointers import refused

WALL = small_building()["cavities"][0]
HEAD = {"practice": "eu", "material": "CF-STD", "currency": "EUR", "cavities": [WALL]}


def offered(*options: Any) -> dict[str, Any]:
    return {**HEAD, "options": list(options)}


def test_what_is_not_said_is_as_in_the_building() -> None:
    (option,) = Offered().load(
        offered({"text": "Wider", "cavities": [{"label": WALL["label"], "width_m": 3}]})
    )["options"]
    (cavity,) = option["cavities"]
    assert (cavity["width_m"], cavity["span_m"], cavity["layers"][0]["depth_mm"]) == (
        *(3, WALL["span_m"], WALL["layers"][0]["depth_mm"]),
    )


def test_another_build_up_takes_the_place_of_the_layers() -> None:
    body = offered({"text": "Other", "cavities": [{"label": WALL["label"], "build_up": "B-1"}]})
    (option,) = Offered().load(body)["options"]
    assert "layers" not in option["cavities"][0]


def test_what_is_no_option_is_refused_by_its_field() -> None:
    at = "/options/0"
    for option, pointers in (
        ({"without": ["W"]}, {f"{at}/text"}),
        ({"text": "The same"}, {at}),
        (
            {"text": "x", "cavities": [{"label": "N", "layers": WALL["layers"]}]},
            {*(f"{at}/cavities/0/{name}" for name in ("element", "width_m", "span_m", "facing"))},
        ),
        ({"text": "x", "cavities": [{"label": WALL["label"], "width_m": "3"}]}, {f"{at}/cavities/0/width_m"}),
        ({"text": "x", "cavities": 3}, {f"{at}/cavities"}),
        (7, {at}),
    ):
        assert refused(Offered(), offered(option)) == pointers, option
    many = [{"text": str(place), "material": "M"} for place in range(MOST_OPTIONS + 1)]
    assert refused(Offered(), offered(*many)) == {"/options"}
