"""A concession names its condition, its reason and who grants it."""

from typing import Any

import pytest

from schemas.concessions import Concession, ConcessionBody
from service.engine.ground.vocabulary import ConditionCode
from tests.pointers import refused, refused_without

BODY = {"condition": "samples_missing", "reason": "Seen again,\nfrom the attic.", "granted_by": "The office"}


@pytest.mark.parametrize("code", ConditionCode)
def test_it_can_be_asked_for_every_condition(code: ConditionCode) -> None:
    assert ConcessionBody().load({**BODY, "condition": code.value})["condition"] is code


def test_each_member_that_is_needed_is_missed_by_its_name() -> None:
    assert refused_without(ConcessionBody(), BODY) == {name: {f"/{name}"} for name in BODY}


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("condition", "samples"),
        ("condition", None),
        ("reason", " "),
        ("reason", "x" * 1001),
        ("granted_by", "Two\nlines"),
        ("cavity", ""),
        ("cavity", None),
        ("subject", "x" * 201),
        ("subjects", ["W1"]),
        ("granted_at", "2026-11-25T08:00:00Z"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(name: str, value: Any) -> None:
    assert refused(ConcessionBody(), {**BODY, name: value}) == {f"/{name}"}


def test_it_is_shown_with_the_subjects_that_it_was_granted_for() -> None:
    shown = {**BODY, "cavity": None, "subjects": ["W1 · 3"], "granted_at": "2026-11-25T08:00:00Z"}
    assert Concession().dump(shown) == shown
    assert Concession().fields.keys() == shown.keys()
