"""Nothing is certified by a figure that nobody vouches for: named, with its source and standing."""

from dataclasses import replace

import pytest

from service.engine.ground.vocabulary import ConditionCode, Element, Facing, Standing
from service.engine.site.certifiable import certifiable
from service.engine.site.condition import Condition
from service.engine.survey.practice import DensityBand, Practice
from service.engine.survey.uncertainties import ESTIMATES, READING
from tests import builders, site

WALL, BAY, ATTIC = (
    site.planned(cavity) for cavity in (builders.wall(), site.one_bay(label="B1"), builders.attic())
)


def of(profile: Practice, *entries, **basis) -> list[Condition]:
    found = site.assessed(WALL, BAY, ATTIC, entries=entries, practice=profile, **basis)
    return [each for each in found.conditions if each.code is ConditionCode.UNCERTAINTY_UNDECLARED]


def test_what_decides_is_declared_by_firm_or_maker() -> None:
    assert of(builders.practice()) == []
    found = of(builders.practice(uncertainties=ESTIMATES))
    assert {each.subject: each.parts for each in found} == {
        "/uncertainties/survey": (),  # of all parts
        "/uncertainties/weighing": (),
        "/uncertainties/sample": ("W1", "B1"),
        "/uncertainties/reading": ("A1",),
    }
    assert not any(each.concedable for each in found)


@pytest.mark.parametrize("standing", [Standing.FROM_MEMORY, Standing.SECOND_HAND, Standing.COMMON_PRACTICE])
def test_a_rule_that_is_nobodys_decides_nothing(standing: Standing) -> None:
    profile = builders.practice()
    loose = replace(profile, sampling=replace(profile.sampling, standing=standing))
    assert [each.subject for each in of(loose)] == ["/sampling"]


def test_a_band_that_is_common_practice_and_a_sheet_from_memory_are_named() -> None:
    """They decided unnamed before: the condition came from a narrower list."""
    common = DensityBand(
        element=Element.WALL, lowest_kg_m3=50, source="what others do", standing=Standing.COMMON_PRACTICE
    )
    sheet = builders.material(standing=Standing.FROM_MEMORY, source="a brochure, from memory")
    band, of_sheet = sorted(
        of(builders.practice(bands=(common,)), material=sheet), key=lambda each: each.subject
    )
    assert (band.subject, band.parts) == ("/bands/0", ("W1", "B1"))
    assert "what others do" in site.words(band.detail)
    assert "common practice" in site.words(band.detail)
    assert "practice profile" in site.words(band.remedy)
    assert (of_sheet.subject, of_sheet.parts) == ("/material", ())
    assert "a brochure, from memory" in site.words(of_sheet.detail)
    assert "data sheet" in site.words(of_sheet.remedy)


def test_a_bulge_that_was_read_needs_a_declared_reading() -> None:
    wall = site.planned(builders.wall(facing=Facing.BOARD))
    errors = replace(builders.practice().uncertainties, reading=READING)
    profile = builders.practice(uncertainties=errors)
    for bulge_mm, named in ((None, []), (12, ["/uncertainties/reading"])):
        fill = site.fill(mass_kg=400, bulge_mm=bulge_mm)
        found = site.assessed(wall, entries=(fill,), practice=profile).conditions
        assert [each.subject for each in found if each.code == "uncertainty_undeclared"] == named


def test_a_certificate_asks_only_for_what_decides_its_own_parts() -> None:
    errors = replace(builders.practice().uncertainties, reading=READING)
    fill = site.fill(mass_kg=400)
    found = site.assessed(WALL, BAY, ATTIC, entries=(fill,), practice=builders.practice(uncertainties=errors))

    def named(*parts: str) -> bool:
        what = certifiable(
            planned=(WALL, BAY, ATTIC),
            assessment=found,
            concessions=(),
            parts=frozenset(parts),
            elsewhere=frozenset(),
        )
        return "uncertainty_undeclared" in {each.code for each in what.unmet}

    assert not named("W1")
    assert named("A1")
    assert named("W1", "A1")
