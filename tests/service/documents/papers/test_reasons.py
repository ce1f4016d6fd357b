"""Why parts are filled as they are: each sentence once."""

import re
from typing import Any

from service.documents.papers.parts import parts
from service.documents.papers.reasons import by_method, cautions, together
from service.documents.wording.formats import Units
from service.documents.wording.sentences import in_words
from tests import builders
from tests.service.documents import facts


def test_each_method_stands_once_with_its_parts_and_reasons() -> None:
    walls = (
        builders.wall(label="W1"),
        builders.wall(label="W2", width_m=4.0),
        builders.stud_wall(label="W3"),
    )
    told = by_method(parts(facts.quote((*walls, builders.attic()))))
    assert [(each["method"], each["cavities"]) for each in told] == [
        ("lance", ["W1", "W2"]),
        ("hose", ["W3"]),
        ("open_blow", ["A1"]),
    ]
    assert [len(each["reasons"]) for each in told] == [1, 1, 1]
    assert [len(each["not_by_hose"]) for each in told] == [1, 0, 0]


def test_what_only_the_crew_does_is_no_caution_to_a_client() -> None:
    cavities = parts(facts.quote((builders.wall(),)))
    notes = cavities[0]["planned"]["fill_plan"]["notes"]
    assert notes
    assert not [each for each in cautions(cavities) if each["said"] in notes]


def test_a_sentence_that_is_said_of_several_parts_is_one() -> None:
    said = {"code": "x.y", "values": {}}
    one, two = ({"cavity": {"label": label}} for label in ("W1", "W2"))
    assert together([(one, said), (two, dict(said))]) == [{"said": said, "cavities": ["W1", "W2"]}]


def test_a_sentence_that_differs_in_one_figure_is_told_once_from_its_least_to_its_most() -> None:
    """A US house of four walls was told four times, each in two lines, that no proof can suffice."""

    def said(u: float, margin: float = 5.9) -> dict[str, Any]:
        values: dict[str, Any] = {
            "u": {"value": u, "unit": "kg/m3"},
            "margin": {"value": margin, "unit": "kg/m3"},
        }
        values |= {"proof": {"word": "proof.bags"}}
        # As it is stored: with its English words beside code and values.
        return {"code": "plan.no_proof_suffices", "values": values, "text": f"{u} kg/m3"}

    parts = [{"cavity": {"label": label}} for label in ("W1", "W2", "W3", "W4")]
    same, other = together(zip(parts, (said(2.25), said(2.5), said(2.4), said(2.4, 4.0)), strict=True))
    assert (same["cavities"], other["cavities"]) == (["W1", "W2", "W3"], ["W4"])
    assert "± 0.15–0.16\u00a0lb/ft³ (k = 1)" in in_words(same["said"], Units("us"))
    assert "± 2.4\u00a0kg/m³ (k = 1)" in in_words(other["said"], Units("eu"))


def test_what_leaves_no_room_leaves_none_as_it_is_printed() -> None:
    """3.3 of 0.11 lb/ft3 had room in 0.37: the demo's US walls were told that they have not."""
    values = {"u": 1.84, "margin": 5.9}
    told = {name: {"value": value, "unit": "kg/m3"} for name, value in values.items()}
    for market, unit in (("us", "lb/ft³"), ("eu", "kg/m³")):
        said = {"code": "plan.no_proof_suffices", "values": told | {"proof": {"word": "proof.bags"}}}
        text = in_words(said, Units(market))
        margin, u = (float(each) for each in re.findall(rf"([\d.]+)\u00a0{unit}", text))
        assert 3.3 * u > margin
