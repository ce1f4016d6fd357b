"""What is known of a part's density, in one row."""

from typing import Any

from service.documents.papers import evidence
from service.documents.papers.certified import certified
from service.documents.wording.formats import Units
from tests.service.documents import facts


def row(record: facts.Facts, place: int) -> dict[str, Any]:
    found = certified(record["parts"][place], record, Units("eu"))["evidence"]
    assert found is not None
    return dict(found)


def test_bays_of_one_printed_density_are_told_together(small_record: facts.Facts) -> None:
    spaces = small_record["parts"][1]["found"]["compartments"]
    told = row(small_record, 1)
    assert len(told["balances"]) <= len({f"{each['mass_balance']['density_kg_m3']:.1f}" for each in spaces})
    assert told["widest"] == max(each["mass_balance"]["expanded_u_kg_m3"] for each in spaces)
    assert told["least"] == min(each["achieved"]["probability"] for each in spaces)


def test_samples_stand_by_their_bays_and_a_contradiction_is_said(small_record: facts.Facts) -> None:
    told = row(small_record, 0)
    bays = [each["bay"] for each in told["samples"]]
    assert bays == sorted(bays) != []
    assert not told["contradicted"]
    space = small_record["parts"][0]["found"]["compartments"][0]
    torn = small_record["parts"][0] | {
        "found": small_record["parts"][0]["found"] | {"compartments": [space | {"normalised_error": 1.7}]}
    }
    assert row(small_record | {"parts": [torn]}, 0)["contradicted"]


def test_an_open_blow_has_no_row_and_no_density_is_none(small_record: facts.Facts) -> None:
    assert evidence.of_part(small_record["parts"][2], Units("eu")) is None
    assert evidence.density(small_record["parts"][2]) is None
