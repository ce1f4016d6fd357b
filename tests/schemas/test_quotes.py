"""A quote is posted with client and site; an answer can be posted again; its states are asked for by name."""

from typing import Any

import pytest

from schemas.quotes import STATES, ErasureBody, Quote, QuoteBody, QuoteHead, QuoteQuery, QuoteWorking
from tests.api import building
from tests.pointers import changed, demo, refused, refused_without

BODY = building()


@pytest.mark.parametrize("name", ["building", "building-us"])
def test_the_demo_buildings_are_taken(name: str) -> None:
    assert refused(QuoteBody(), demo(f"{name}.json")) == set()


def test_each_member_that_is_needed_is_missed_by_its_name() -> None:
    needed = {"reference", "client", "site", "practice", "material", "currency", "cavities"}
    assert refused_without(QuoteBody(), BODY) == {name: {f"/{name}"} for name in needed}


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/language", "fr"),
        ("/reference", "x" * 81),
        ("/client/name", " "),
        ("/client/email", "nobody"),
        ("/site/country", "Deutschland"),
        ("/site/built_year", 1950.5),
        ("/cavities/0/label", ""),
        ("/cavities/0/element", "cellar"),
        ("/cavities/0/layers", []),
        ("/cavities/1/width_m", "9.4"),
        ("/explain", True),
        ("/state", "offered"),
        ("/total", "1.00"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(pointer: str, value: Any) -> None:
    assert refused(QuoteBody(), changed(BODY, pointer, value)) == {pointer}


def test_reverse_charge_needs_the_number_of_who_owes_the_tax() -> None:
    """An offer said that its recipient owes the tax, and not who that is."""
    untaxed, client = {**BODY, "tax": "reverse_charge"}, {**BODY["client"], "tax_number": "XX123456789"}
    assert refused(QuoteBody(), untaxed) == {"/client/tax_number"}
    assert refused(QuoteBody(), {**untaxed, "client": client}) == set()


def test_documents_are_english_unless_told() -> None:
    body = {name: value for name, value in BODY.items() if name != "language"}
    assert QuoteBody().load(body)["language"] == "en"


@pytest.mark.parametrize("reason", ["", " ", None, "x" * 1001])
def test_an_erasure_has_its_reason(reason: Any) -> None:
    assert refused(ErasureBody(), {"reason": reason}) == {"/reason"}


def test_a_list_is_asked_for_by_state_and_size() -> None:
    for state in STATES:
        assert QuoteQuery().load({"state": state, "limit": "7"}) == {"state": state, "limit": 7}
    assert QuoteQuery().load({}) == {"limit": 50}
    assert refused(QuoteQuery(), {"state": "lost", "limit": "201", "after": "x"}) == {
        "/state",
        "/limit",
        "/after",
    }


def test_the_short_answer_has_no_survey_and_the_long_one_all_of_the_short_one() -> None:
    head, short, long = (kind().fields.keys() for kind in (QuoteHead, Quote, QuoteWorking))
    assert head < short < long
    assert long - short == {"cavities"}
