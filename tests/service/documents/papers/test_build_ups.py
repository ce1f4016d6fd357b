"""Build-ups: each once, with its parts, its layers and what they have between them."""

import pytest

from service.documents.papers.build_ups import _letter, build_ups
from service.documents.papers.parts import parts
from tests import builders
from tests.service.documents import facts

AIR = builders.board(name="air", ventilated=True, thickness_mm=None, conductivity_w_mk=None, mu=None)


def test_parts_that_are_made_alike_are_one_build_up_whatever_their_size() -> None:
    found = build_ups(
        parts(
            facts.quote((builders.wall(label="W1"), builders.attic(), builders.wall(label="W2", width_m=4)))
        )
    )
    assert [(each.letter, [part["cavity"]["label"] for part in each.parts]) for each in found] == [
        ("A", ["W1", "W2"]),
        ("B", ["A1"]),
    ]


def test_the_courses_are_the_thermal_ones_in_their_order() -> None:
    cladding, plaster = builders.board(name="cladding"), builders.board(name="plaster")
    (one,) = build_ups(
        parts(facts.quote((builders.wall(outside=(cladding, AIR, builders.board()), inside=(plaster,)),)))
    )
    thermal = one.parts[0]["planned"]["thermal"]
    counted = [each["resistance_m2k_w"] for each in thermal["courses"][1:-1]]
    assert [each.name for each in one.courses] == ["cladding", "air", builders.board().name, "", "plaster"]
    # What lies outside a well-ventilated layer does not count (ISO 6946).
    assert [each.resistance for each in one.courses[:2]] == [None, None]
    assert [each.resistance and each.resistance[0] for each in one.courses[2:]] == pytest.approx(counted)
    assert one.u_value == (thermal["u_value_w_m2k"],) * 2


def test_letters_go_on_after_z() -> None:
    assert [_letter(place) for place in (1, 26, 27, 52, 53)] == ["A", "Z", "AA", "AZ", "BA"]
