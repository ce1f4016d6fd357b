"""A formula has one name, one source and one standing wherever it is quoted."""

from dataclasses import FrozenInstanceError

import pytest

from service.engine.ground.formula import Formula
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Standing

MASS = Formula(
    code="mass",
    expression="density_kg_m3 x volume_m3",
    source="definition of density",
    standing=Standing.DERIVED,
)


def test_its_words_stand_under_its_code() -> None:
    assert MASS.provenance.rule == message("formula.mass")
    assert MASS.stated().rule == message("formula.mass")


def test_stated_and_quoted_it_is_the_same() -> None:
    stated, quoted = MASS.stated(), MASS.provenance
    assert (stated.formula, stated.expression) == (MASS.code, MASS.expression)
    assert (stated.source, stated.standing) == (quoted.source, quoted.standing)
    assert (quoted.source, quoted.standing) == (MASS.source, MASS.standing)


def test_nobody_changes_it() -> None:
    with pytest.raises(FrozenInstanceError):
        MASS.source = "hearsay"  # type: ignore[misc]
